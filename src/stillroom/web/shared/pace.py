"""How often one computer may ask for a page that needs no sign-in."""

from __future__ import annotations

import time

from django.core.cache import cache

__all__ = ["too_fast"]


def too_fast(request, name: str, *, most: int, seconds: int = 60) -> bool:
    """Whether this address asked more than `most` times within the present `seconds` [s]. Counted in this process."""
    key = f"pace:{name}:{request.META.get('REMOTE_ADDR', '')}:{int(time.time()) // seconds}"
    cache.add(key, 0, timeout=2 * seconds)
    try:
        return cache.incr(key) > most
    except ValueError:  # thrown out of a full cache between the two lines
        return False
