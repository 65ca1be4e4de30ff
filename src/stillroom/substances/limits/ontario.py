"""Ontario's limits, read from the `chemicals` package at run time; the table is not shipped here.

The package stores each value in ppm and in mg/m³, one as printed and the other computed from it, and hands
out ppm first, for dusts too. The printed one has few digits, the computed one many: that is how they are told
apart, and a computed ppm is never used.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Any, Literal

from stillroom.substances.limits.model import LimitList
from stillroom.substances.model import Basis, Limit

__all__ = ["digest", "of", "table"]

_BASES: tuple[tuple[str, Basis, float | None], ...] = (
    ("TWA", "TWA", 480.0),
    ("STEL", "STEL", 15.0),
    ("Ceiling", "C", None),
)
_PRINTED_DIGITS = 4


@cache
def table() -> Mapping[str, Mapping[str, Any]]:
    """The package's table by CAS number (some of its keys begin with a blank)."""
    from chemicals import safety

    return {cas.strip(): row for cas, row in safety.Ontario_exposure_limits_dict.items()}


def digest() -> str:
    """First twelve digits of the SHA-256 of the package's file, read without importing the package."""
    import hashlib
    from importlib.util import find_spec
    from pathlib import Path

    spec = find_spec("chemicals")
    if spec is None or spec.origin is None:
        return "not installed"
    path = Path(spec.origin).parent / "Safety" / "Ontario Exposure Limits.json"
    return hashlib.sha256(path.read_bytes()).hexdigest()[:12] if path.exists() else "not found"


def printed(row: Mapping[str, Any], basis: str) -> tuple[float, Literal["ppm", "mg/m3"]] | None:
    """The value and unit that the list prints, None where there is none or it cannot be told which."""
    ppm, mass = row[f"{basis} (ppm)"], row[f"{basis} (mg/m^3)"]
    ppm_printed, mass_printed = _short(ppm), _short(mass)
    if ppm_printed and not mass_printed:
        return float(ppm), "ppm"
    if mass_printed and not ppm_printed:
        return float(mass), "mg/m3"
    return None


def of(cas: str, item: LimitList) -> tuple[Limit, ...]:
    """Ontario's limits of one substance, empty where there is none."""
    row = table().get(cas)
    if row is None:
        return ()
    name = re.sub(r"\s*\[[^\]]*\]", "", row["Name"]).strip()
    counted = set(re.findall(r"\bas ([A-Z][A-Za-z]?)\b", row["Name"]))
    measured_as = counted.pop() if len(counted) == 1 else ""  # two elements: as itself, which is cautious
    found: list[Limit] = []
    for column, basis, minutes in _BASES:
        value = printed(row, column)
        if value is None:
            continue
        found.append(
            Limit(
                cas=cas,
                name=name,
                list=item.key,
                edition=item.edition,
                basis=basis,
                value=value[0],
                unit=value[1],
                measured_as=measured_as if value[1] == "mg/m3" else "",
                minutes=minutes,
                notations=("skin",) if row["Skin"] else (),
                source=item.source,
                locator=f"{item.locator}, {name}",
                note="lowest value where the list prints several forms; fraction of dust not named",
            )
        )
    return tuple(found)


def _short(value: float | None) -> bool:
    """Has it so few digits that a table would print it?"""
    return value is not None and float(f"{value:.{_PRINTED_DIGITS}g}") == value
