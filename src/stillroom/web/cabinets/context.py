from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.records.models import Cabinet, Validation


@dataclass(frozen=True)
class CabinetsContext:
    cabinets: Sequence[tuple[Cabinet, Validation | None]]
    """each with the validation that stands today"""
    may_write: bool
