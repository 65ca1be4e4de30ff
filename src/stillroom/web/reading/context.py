from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.inventory.model import Container
from stillroom.records.models import Assessment


@dataclass(frozen=True)
class ReadingContext:
    assessment: Assessment
    how: list[tuple[str, str]]
    """what was understood, and as what it was found"""
    warnings: Sequence[str]
    unknown: Sequence[Container]
    containers: Sequence[Container]
    pieces: int
    back: str
    onward: str
