"""Under which address this server is reached: what the codes on printed labels carry."""

from __future__ import annotations

from urllib.parse import urlsplit

from django.conf import settings

__all__ = ["base_url", "only_here"]

_HERE = ("127.0.0.1", "localhost", "::1")


def base_url(request) -> str:
    """STILLROOM_BASE_URL; else the address asked for, whose host is one of the allowed, or the request is refused."""
    return settings.BASE_URL or f"{request.scheme}://{request.get_host()}"


def only_here(base: str) -> bool:
    """Whether no other computer can follow the address."""
    return urlsplit(base).hostname in _HERE
