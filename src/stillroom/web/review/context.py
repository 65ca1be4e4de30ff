from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from stillroom.records.models import Validation
from stillroom.web.sign.form import Components


@dataclass(frozen=True)
class ReviewContext:
    validation: Validation
    record: dict[str, Any]
    form: Components
    name: str
    """printed under the review"""
