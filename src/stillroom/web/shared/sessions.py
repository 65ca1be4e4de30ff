"""How long one stays signed in: neither longer than a while unused, nor longer than a working day."""

from __future__ import annotations

import time
from urllib.parse import urlencode

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

__all__ = ["SessionLimits", "begin"]

_BEGAN, _SEEN = "began", "seen"
_MINUTE = 60


def now() -> int:
    """Seconds of the clock."""
    return int(time.time())


def begin(sender, request, **_) -> None:
    """At sign-in, after the session got its new key: both clocks start."""
    request.session[_BEGAN] = request.session[_SEEN] = now()


def ended(session) -> str:
    """ "idle" or "long" where a signed-in session is over, else an empty text; one that tells no time is over."""
    if SESSION_KEY not in session:
        return ""
    if now() - session.get(_SEEN, 0) >= settings.IDLE_SECONDS:
        return "idle"
    return "long" if now() - session.get(_BEGAN, 0) >= settings.SESSION_COOKIE_AGE else ""


class SessionLimits:
    """Ends a session at the server once it is over, and notes at most once a minute that it is in use."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        session = request.session
        why = ended(session)
        if why:
            session.flush()
            return redirect(reverse("login") + "?" + urlencode({"ended": why, "next": _where(request)}))
        if SESSION_KEY in session and now() - session[_SEEN] >= _MINUTE:
            session[_SEEN] = now()
        return self.get_response(request)


def _where(request) -> str:
    """The page to come back to; for a form that was sent, the page that it stood on."""
    if request.method in ("GET", "HEAD"):
        return request.get_full_path()
    came_from = request.headers.get("Referer", "")
    ours = url_has_allowed_host_and_scheme(came_from, {request.get_host()}, require_https=request.is_secure())
    return came_from if ours else ""
