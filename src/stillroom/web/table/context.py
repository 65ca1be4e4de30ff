from __future__ import annotations

from dataclasses import dataclass

from stillroom.records.models import Assessment
from stillroom.web.table.form import Cell


@dataclass(frozen=True)
class TableContext:
    assessment: Assessment
    lines: list[tuple[int, list[Cell]]]
    columns: list[str]
    problems: list[tuple[str, str]]
    """id of the entry, message"""
    first_empty: str
    """id of the entry where a further container begins"""
    replaces: str
    """the kept inventory that these rows would take the place of, where they do not begin with it"""
    back: str
