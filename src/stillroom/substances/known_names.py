"""Our own table of names, read when it is first asked."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from stillroom.substances.names import key
from stillroom.substances.shipped import rows, sidecar

__all__ = ["Names", "counted_as", "known_solids", "name_table"]


@dataclass(frozen=True, slots=True)
class Names:
    """Our table: spelling -> (CAS, the numbers it may also mean); CAS -> its names."""

    meaning: dict[str, tuple[str, frozenset[str]]]
    names: dict[str, tuple[str, ...]]
    no_structure: frozenset[str]
    structure: dict[str, tuple[str, float]]
    solids: frozenset[str]
    name_decides: frozenset[str]
    counted_as: dict[str, str]


@cache
def name_table() -> Names:
    meaning: dict[str, tuple[str, frozenset[str]]] = {}
    names: dict[str, tuple[str, ...]] = {}
    for row in rows("stillroom.substances", "synonyms"):
        spelling = key(row["name"])
        meaning.setdefault(spelling, (row["cas"], frozenset(row["may_also_mean"].split())))
        if row["cas"]:
            names[row["cas"]] = (*names.get(row["cas"], ()), row["name"])
    beside = sidecar("stillroom.substances", "synonyms")
    structure = {cas: (formula, float(mass)) for cas, formula, mass in beside["structure"]}
    return Names(
        meaning,
        names,
        frozenset(beside["no_structure"]),
        structure,
        frozenset(beside["solid"]),
        frozenset(beside["name_decides"]),
        beside["counted_as"],
    )


def counted_as(cas: str) -> str:
    return name_table().counted_as.get(cas, cas)


def known_solids() -> frozenset[str]:
    """CAS numbers of materials that are solid at room temperature and have no tabled melting point."""
    return name_table().solids
