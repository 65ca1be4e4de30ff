from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.records.models import Cabinet, FilterChange
from stillroom.services.forecast import Forecast
from stillroom.web.filter_change.form import FilterChangeForm


@dataclass(frozen=True)
class FilterChangeContext:
    cabinet: Cabinet
    form: FilterChangeForm | None
    """None: to be looked at, not changed"""
    forecast: Forecast
    history: Sequence[FilterChange]
