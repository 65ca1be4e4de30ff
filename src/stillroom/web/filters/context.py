from __future__ import annotations

from dataclasses import dataclass

from stillroom.records.models import Assessment
from stillroom.web.filters.form import FiltersForm
from stillroom.web.filters.own import MediumForm


@dataclass(frozen=True)
class FiltersContext:
    assessment: Assessment
    form: FiltersForm
    medium_form: MediumForm
    taken: str
    """title of the medium that was just added; empty where none was"""
    problems: list[tuple[str, str]]
    """id of the entry, message: of both forms"""
    back: str
    back_to: str
