from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from stillroom.records.models import Reading, Strike, Visit
from stillroom.services.forecast import Forecast


@dataclass(frozen=True)
class VisitAnswerContext:
    visit: Visit
    readings: Sequence[Reading]
    answer: Mapping[str, Any]
    """what all readings together say"""
    struck: Sequence[Strike]
    """which of them were struck out"""
    frame: str
    """the class of its frame"""
    word: str
    forecast: Forecast
    filter_gone: bool
    """whether another filter was put in since"""
    may_write: bool
