from __future__ import annotations

from dataclasses import dataclass

from stillroom.errors import Problem
from stillroom.records.models import Assessment
from stillroom.web.inventory.form import InventoryForm


@dataclass(frozen=True)
class InventoryContext:
    assessment: Assessment
    form: InventoryForm
    problems: tuple[Problem, ...]
    back: str
    back_to: str
    kept: list[tuple[str, str]]
    """the inventory that is there already, in words"""
    in_table: bool
    """whether it can be gone on from in the table; if not, it stands in the field for pasting"""
