from __future__ import annotations

from dataclasses import dataclass

from stillroom.records.models import Assessment
from stillroom.web.by_hand.form import ByHandForm


@dataclass(frozen=True)
class ByHandContext:
    assessment: Assessment
    form: ByHandForm
    rows: list[tuple[int, str, str]]
    """place, words, source"""
    back: str
    back_to: str
    onward: str
