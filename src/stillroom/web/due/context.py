from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from stillroom.services.due import Due
from stillroom.services.spares import Spares


class Line(NamedTuple):
    item: Due
    link: str
    late: int
    """days since its date; below zero where that is to come"""


class Part(NamedTuple):
    title: str
    lines: Sequence[Line]


@dataclass(frozen=True)
class DueContext:
    parts: Sequence[Part]
    """overdue, today, later; each has lines"""
    choices: Sequence[tuple[str, str, bool]]
    """value of `within`, words, whether it is the one shown"""
    within: str
    later: int
    """items that are due later than what is shown"""
    address: str
    """a new calendar address, shown this once; else empty"""
    has_address: bool
    sites: Sequence[tuple[str, str, bool]]
    """what follows the "?" of its address, name, whether it is the one shown; empty where there is one site only"""
    query: str
    """the site that is shown, as the end of an address"""
    spares: Spares
