from __future__ import annotations

from dataclasses import dataclass

from stillroom.records.models import Assessment
from stillroom.web.rules.form import RulesForm


@dataclass(frozen=True)
class RulesContext:
    assessment: Assessment
    form: RulesForm
    back: str
    back_to: str
