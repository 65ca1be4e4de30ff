from __future__ import annotations

from dataclasses import dataclass

from stillroom.web.login.form import SignInForm


@dataclass(frozen=True)
class LoginContext:
    form: SignInForm
    next: str
    ended: str
    """why an earlier session is over, in words; empty where there was none"""
