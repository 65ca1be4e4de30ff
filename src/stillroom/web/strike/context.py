from __future__ import annotations

from dataclasses import dataclass

from stillroom.records.models import Reading
from stillroom.web.strike.form import StrikeForm


@dataclass(frozen=True)
class StrikeContext:
    reading: Reading
    place: int
    form: StrikeForm
