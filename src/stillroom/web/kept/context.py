from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.records.models import Cabinet, Event, FilterChange, Validation, Visit
from stillroom.services.due import Due
from stillroom.services.standing import State
from stillroom.web.kept.form import CabinetForm


@dataclass(frozen=True)
class KeptContext:
    cabinet: Cabinet | None
    form: CabinetForm | None
    standing: Validation | None
    validations: Sequence[tuple[Validation, State]]
    due: Sequence[Due]
    """what is to be done here, the next visit among it"""
    visits: Sequence[tuple[Visit, bool, str]]
    """each with whether its readings do not fit, and what they said"""
    changes: Sequence[FilterChange]
    history: Sequence[Event]
    """what was written on it, newest first"""
