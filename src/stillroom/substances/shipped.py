"""Reading the tables that the rooms of `substances` ship: ``data/<name>.csv`` and ``data/<name>.toml``.

Lines of a CSV file that begin with # are remarks. Read when first asked, and kept.
"""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any

from stillroom.errors import StillroomError

__all__ = ["Row", "by_cas", "rows", "sidecar", "text"]

Row = Mapping[str, str]


def text(package: str, file: str) -> str:
    """The text of one file of a package's data folder."""
    return (resources.files(package) / "data" / file).read_text("utf-8")


@cache
def rows(package: str, name: str) -> tuple[Row, ...]:
    """The rows of ``data/<name>.csv`` of a package, as printed."""
    lines = (line for line in text(package, f"{name}.csv").splitlines() if line and not line.startswith("#"))
    return tuple(MappingProxyType(row) for row in csv.DictReader(lines))


@cache
def by_cas(package: str, name: str) -> Mapping[str, Row]:
    """The same by their CAS number.

    Raises
    ------
    StillroomError
        A CAS number stands twice.
    """
    found: dict[str, Row] = {}
    for row in rows(package, name):
        if row["cas"] in found:
            raise StillroomError(f"{name}.csv: {row['cas']} stands twice. Keep one of the rows.")
        found[row["cas"]] = row
    return MappingProxyType(found)


@cache
def sidecar(package: str, name: str) -> Mapping[str, Any]:
    """What ``data/<name>.toml`` of a package says."""
    return MappingProxyType(tomllib.loads(text(package, f"{name}.toml")))
