from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from stillroom.records.models import Series


@dataclass(frozen=True)
class SensorAnswerContext:
    series: Series
    answer: Mapping[str, Any]
    frame: str
    word: str
    cells: Sequence[Mapping[str, Any]]
    """left out of the file, and repeated"""
    more: int
    """such cells that are not named one by one"""
