from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.records.models import Calibration, Instrument
from stillroom.services.instruments import Standing
from stillroom.web.instrument.form import InstrumentForm


@dataclass(frozen=True)
class InstrumentContext:
    instrument: Instrument | None
    form: InstrumentForm | None
    """None: to be looked at, not changed"""
    standing: Standing | None
    calibrations: Sequence[Calibration]
    may_write: bool
