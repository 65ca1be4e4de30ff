"""The password asked again: a failed try counts as one at the sign-in, and locks like one."""

from __future__ import annotations

from django.contrib.auth import authenticate

__all__ = ["confirmed"]


def confirmed(request):
    """A check of user and password for the services that need it."""

    def check(user, password: str) -> bool:
        found = authenticate(request, username=user.get_username(), password=password)
        return found is not None and found.pk == user.pk

    return check
