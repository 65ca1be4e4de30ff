from __future__ import annotations

from dataclasses import dataclass

from stillroom.records.models import Assessment
from stillroom.web.limits.form import LimitsForm


@dataclass(frozen=True)
class LimitsContext:
    assessment: Assessment
    form: LimitsForm
    back: str
    back_to: str
