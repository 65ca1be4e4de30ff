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
