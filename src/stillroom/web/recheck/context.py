from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.web.recheck.rows import Row


@dataclass(frozen=True)
class RecheckContext:
    rows: Sequence[Row]
    """those that concern"""
    count: int
    """validations looked at"""
    open_count: int
    """not computed yet"""
    may_write: bool
