from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from stillroom.web.savings.form import SavingsForm


@dataclass(frozen=True)
class SavingsContext:
    form: SavingsForm
    name: str
    """whose figures stand in the form at first"""
    answer: Mapping[str, Any] | None
    drawing: str
    """of the parts; empty without an answer"""
