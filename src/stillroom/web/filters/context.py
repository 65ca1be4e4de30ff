from __future__ import annotations

from dataclasses import dataclass

from stillroom.media.model import Interval
from stillroom.records.models import Assessment
from stillroom.web.filters.form import FiltersForm


@dataclass(frozen=True)
class FiltersContext:
    assessment: Assessment
    form: FiltersForm
    seal: Interval
    back: str
    back_to: str
