from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from stillroom.records.models import Assessment
from stillroom.web.sign.form import SignForm


@dataclass(frozen=True)
class SignContext:
    assessment: Assessment
    record: dict[str, Any]
    form: SignForm
    name: str
    """printed under the signature"""
