"""Whether somebody signed before in this very session: then the password alone signs again.

A session is continuous from sign-in to sign-out, and ends unused or after a working day (`sessions`). A new key – another
sign-in, a changed password – is a new session.
"""

from __future__ import annotations

__all__ = ["remember", "signed_before"]

_SIGNED = "signed"


def signed_before(request) -> bool:
    """Whether the session's person signed in it, with both components or after such a signature."""
    key = request.session.session_key
    return key is not None and request.session.get(_SIGNED) == [key, request.user.pk]


def remember(request) -> None:
    """They have signed now."""
    request.session[_SIGNED] = [request.session.session_key, request.user.pk]
