from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.records.models import Assessment, RoomDefinition
from stillroom.web.room.form import RoomForm


@dataclass(frozen=True)
class RoomContext:
    assessment: Assessment
    form: RoomForm
    known: Sequence[RoomDefinition]
    back: str
    back_to: str
