from __future__ import annotations

from dataclasses import dataclass

from stillroom.records.models import Membership
from stillroom.web.account.form import PasswordForm


@dataclass(frozen=True)
class AccountContext:
    form: PasswordForm
    membership: Membership
    changed: bool
