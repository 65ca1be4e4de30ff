from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from stillroom.records.models import Review, Validation, Withdrawal
from stillroom.services.standing import State


@dataclass(frozen=True)
class ValidationContext:
    validation: Validation
    record: dict[str, Any]
    signature: dict[str, str]
    state: State
    withdrawal: Withdrawal | None
    review: Review | None
    faults: Sequence[str]
    """what does not hold of the stored signature; none where all is well"""
    papers: Sequence[tuple[str, str]]
    label_path: str
    may_write: bool
    may_review: bool
    """a second person, while it stands"""
