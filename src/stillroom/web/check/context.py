from __future__ import annotations

from dataclasses import dataclass

from stillroom.records.models import Assessment
from stillroom.web.check.answers import Section
from stillroom.web.check.form import TitleForm


@dataclass(frozen=True)
class CheckContext:
    assessment: Assessment
    form: TitleForm
    sections: list[Section]
    missing: list[str]
    """sections that are still to be answered"""
    fault: str
    """what kept the result from being computed"""
    back: str
