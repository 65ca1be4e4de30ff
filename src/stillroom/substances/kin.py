"""Substances that are judged by a parent: hydrates, deuterated compounds, isomers of a list's group."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal, cast

from stillroom.substances.shipped import by_cas

__all__ = ["WATER_MOLAR_MASS", "Kin", "kin_of"]

WATER_MOLAR_MASS = 18.015
"""[g/mol] [iupac-atomic-weights]"""

Kind = Literal["hydrate", "deuterated", "isomer", "form"]


@dataclass(frozen=True, slots=True)
class Kin:
    """One substance and its parent."""

    cas: str
    name: str
    kind: Kind
    parent: str
    """CAS number of the parent"""
    parent_name: str
    waters: float = 0.0
    """molecules of crystal water for one formula of the parent [-]"""
    lists: tuple[str, ...] = ()
    """keys of the lists of limits whose entry for the parent covers it; empty for every list"""


@cache
def kin_of(cas: str) -> Kin | None:
    """The parent of a substance, None where it is its own.

    Examples
    --------
    >>> kin = kin_of("6153-56-6")
    >>> kin.parent_name, kin.waters
    ('oxalic acid', 2.0)
    """
    row = by_cas("stillroom.substances", "kin").get(cas)
    if row is None:
        return None
    return Kin(
        cas,
        row["name"],
        cast(Kind, row["kind"]),
        row["parent"],
        row["parent_name"],
        float(row["waters"] or 0),
        tuple(row["lists"].split()),
    )
