"""Why a validation no longer holds, and the password again."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from stillroom.web.first.form import PasswordField
from stillroom.web.shared.fields import Form, TextField

__all__ = ["WithdrawForm"]


class WithdrawForm(Form):
    reason = TextField(label=_("Why it no longer holds"), rows=3, longest=1000)
    password = PasswordField(
        label=_("Your password"), enter=_("Enter your password again"), autocomplete="current-password"
    )
