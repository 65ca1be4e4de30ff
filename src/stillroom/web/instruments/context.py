from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.records.models import Instrument
from stillroom.services.instruments import Standing


@dataclass(frozen=True)
class InstrumentsContext:
    instruments: Sequence[tuple[Instrument, Standing]]
    may_write: bool
