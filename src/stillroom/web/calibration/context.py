from __future__ import annotations

from dataclasses import dataclass

from stillroom.records.models import Instrument
from stillroom.web.calibration.form import CalibrationForm


@dataclass(frozen=True)
class CalibrationContext:
    instrument: Instrument
    form: CalibrationForm
