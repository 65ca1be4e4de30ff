from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.errors import Problem
from stillroom.records.models import Cabinet
from stillroom.web.sensor.form import SensorForm


@dataclass(frozen=True)
class SensorContext:
    cabinet: Cabinet
    form: SensorForm
    problems: Sequence[Problem]
    more: int
    """problems that are not shown one by one"""
