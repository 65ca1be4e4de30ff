"""Reading the shipped tables: a CSV of rows keyed by CAS number and a TOML sidecar each. Lazy and cached."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any

__all__ = ["by_cas", "rows", "sidecar"]

Row = Mapping[str, str]


@cache
def rows(name: str) -> tuple[Row, ...]:
    """The rows of ``data/<name>.csv``, as printed."""
    text = (resources.files(__package__) / "data" / f"{name}.csv").read_text("utf-8")
    return tuple(MappingProxyType(row) for row in csv.DictReader(text.splitlines()))


@cache
def by_cas(name: str) -> Mapping[str, Row]:
    """The rows of ``data/<name>.csv`` by their CAS number."""
    return MappingProxyType({row["cas"]: row for row in rows(name)})


@cache
def sidecar(name: str) -> Mapping[str, Any]:
    """What ``data/<name>.toml`` says."""
    text = (resources.files(__package__) / "data" / f"{name}.toml").read_text("utf-8")
    return MappingProxyType(tomllib.loads(text))
