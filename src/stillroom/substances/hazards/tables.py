"""The shipped tables of hazards: a CSV of rows keyed by CAS number and a TOML sidecar each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from stillroom.substances import shipped
from stillroom.substances.shipped import Row

__all__ = ["by_cas", "rows", "sidecar"]

_ROOM = "stillroom.substances.hazards"


def rows(name: str) -> tuple[Row, ...]:
    """The rows of ``data/<name>.csv``, as printed."""
    return shipped.rows(_ROOM, name)


def by_cas(name: str) -> Mapping[str, Row]:
    """The rows of ``data/<name>.csv`` by their CAS number."""
    return shipped.by_cas(_ROOM, name)


def sidecar(name: str) -> Mapping[str, Any]:
    """What ``data/<name>.toml`` says."""
    return shipped.sidecar(_ROOM, name)
