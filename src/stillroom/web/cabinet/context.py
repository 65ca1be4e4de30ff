from __future__ import annotations

from dataclasses import dataclass

from stillroom.records.models import Assessment
from stillroom.web.cabinet.form import CabinetForm


@dataclass(frozen=True)
class CabinetContext:
    assessment: Assessment
    form: CabinetForm
    back: str
    back_to: str
