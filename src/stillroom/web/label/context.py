from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.records.models import Validation
from stillroom.services.standing import State


@dataclass(frozen=True)
class LabelContext:
    validation: Validation
    state: State
    inside: Sequence[tuple[str, str]]
    """name and largest amount, as on the label"""
    conditions: Sequence[str]
    facts: Sequence[tuple[str, str]]
    invented: bool
    approved: bool
