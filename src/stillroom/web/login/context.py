from __future__ import annotations

from dataclasses import dataclass

from stillroom.web.login.form import SignInForm


@dataclass(frozen=True)
class LoginContext:
    form: SignInForm
    next: str
