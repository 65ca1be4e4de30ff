from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.records.models import Assessment, Validation
from stillroom.web.difference.words import Pair


@dataclass(frozen=True)
class DifferenceContext:
    before: Assessment
    after: Assessment
    validation: Validation | None
    """the signed one that `after` was started from"""
    state: str
    """whether that still holds; empty where there is none"""
    inputs: Sequence[Pair]
    containers: Sequence[Pair]
    outcomes: Sequence[Pair]
    conflicts: Sequence[Pair]
    conditions: Sequence[Pair]
    substances: Sequence[tuple[str, Sequence[Pair]]]
