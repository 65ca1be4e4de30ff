from __future__ import annotations

from dataclasses import dataclass

from stillroom.records.models import Validation
from stillroom.web.withdraw.form import WithdrawForm


@dataclass(frozen=True)
class WithdrawContext:
    validation: Validation
    form: WithdrawForm
