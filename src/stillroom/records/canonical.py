"""One spelling of a value: RFC 8785 (JSON Canonicalization Scheme), and what of a row goes into it."""

from __future__ import annotations

import datetime
import hashlib
import math
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

__all__ = ["canonical", "plain", "sha256"]

_LARGEST_INTEGER = 2**53 - 1  # RFC 8785 spells numbers as IEEE 754 doubles


def canonical(value: Any) -> str:
    """The value as RFC 8785 text; numbers, dates and bytes are first made plain."""
    import rfc8785

    return rfc8785.dumps(plain(value)).decode()


def sha256(value: str | bytes) -> str:
    """SHA-256 in 64 hexadecimal digits; text as UTF-8."""
    return hashlib.sha256(value.encode() if isinstance(value, str) else value).hexdigest()


def plain(value: Any) -> Any:
    """The value in JSON's own kinds. Bytes are told by size and SHA-256, times in UTC with microseconds."""
    if value is None or isinstance(value, bool | str):
        return value
    if isinstance(value, int):
        return value if abs(value) <= _LARGEST_INTEGER else _large(value)
    if isinstance(value, float):
        return value if math.isfinite(value) else str(value)
    if isinstance(value, Mapping):
        return {str(key): plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    if isinstance(value, bytes | bytearray | memoryview):
        content = bytes(value)
        return {"bytes": len(content), "sha256": sha256(content)}
    if isinstance(value, datetime.datetime):
        return value.astimezone(datetime.UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return str(value)
    raise TypeError(f"a {type(value).__name__} has no canonical spelling")


def _large(value: int) -> float | str:
    """A whole number beyond a double's exact range: the double where it is exact, else its digits."""
    try:
        near = float(value)
    except OverflowError:
        return str(value)
    return near if int(near) == value else str(value)
