from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from stillroom.records.models import Assessment, Validation
from stillroom.web.difference.words import Lines, Pair


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
    left_on_the_filter: Sequence[Mapping[str, Any]]
    """what loaded the filter more than it does now, and is not counted: name, cas, mg_m3"""
    substances: Sequence[Lines]
    """whose verdict, limit, life or largest container differs, or that came or went"""
    figures: Sequence[Lines]
    """of which figures and reasons alone differ"""
    signed: Validation | None
    """the changed one's own signature"""
    may_write: bool
