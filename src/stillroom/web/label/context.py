from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.records.models import Validation
from stillroom.services.standing import State


@dataclass(frozen=True)
class LabelContext:
    validation: Validation
    today: datetime.date
    state: State
    doubt: str
    """what speaks against the filter in the cabinet though the label holds"""
    sooner: str
    """the day by which that filter is replaced, where it is sooner than the label's"""
    inside: Sequence[tuple[str, str]]
    """name and largest amount, as on the label"""
    conditions: Sequence[str]
    facts: Sequence[tuple[str, str]]
    why: Sequence[str]
    """where it is refused, as on the label"""
    invented: bool
    approved: bool
