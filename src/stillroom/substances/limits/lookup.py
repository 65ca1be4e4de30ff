"""What one list says of one substance."""

from __future__ import annotations

from typing import Literal, cast

from stillroom.substances.limits import ontario
from stillroom.substances.limits.tables import Entry, LimitList, entries, groups_of, known
from stillroom.substances.model import Basis, Limit

__all__ = ["nuisance_dust", "of", "remarks"]

_NOTATIONS = {"skin": "skin", "ca": "carcinogen", "sen": "sensitiser", "lf": "lowest feasible"}
_BASES: tuple[tuple[str, Basis], ...] = (("twa", "TWA"), ("stel", "STEL"), ("ceiling", "C"))


def of(cas: str, list_key: str) -> tuple[Limit, ...]:
    """Every limit that one list has for a substance: its own entry and those of groups that it belongs to.

    Parameters
    ----------
    cas : str
        CAS number.
    list_key : str
        Key of a list, see `lists`.

    Returns
    -------
    tuple of Limit
        Value and unit as printed (µg/m³ given as mg/m³, and the note says so); empty where the list has none.

    Raises
    ------
    InputError
        No list has this key.

    Notes
    -----
    An entry "as X" has `measured_as` set; its value counts the element or ion alone.

    Examples
    --------
    29 CFR 1910.1000 Table Z-1, acetone: 1000 ppm.

    >>> [(limit.basis, limit.value, limit.unit) for limit in of("67-64-1", "osha-z1")]
    [('TWA', 1000.0, 'ppm')]
    """
    item = known(list_key)
    if not item.file:
        return ontario.of(cas, item)
    found: list[Limit] = []
    for row in _rows(cas, list_key):
        found.extend(_limits(cas, row, item))
    return tuple(found)


def remarks(cas: str, list_key: str) -> tuple[str, ...]:
    """What a list says of a substance for which it prints no number ("lowest feasible concentration")."""
    item = known(list_key)
    if not item.file:
        return ()
    return tuple(
        f"{item.title}: {row['name']}, no number; {row['note']}".rstrip("; ")
        for row in _rows(cas, list_key)
        if not any(row[column] for column, _ in _BASES)
    )


def nuisance_dust(list_key: str) -> tuple[Limit, ...]:
    """The list's limits for dust of low toxicity that has no limit of its own.

    A surrogate: it is right only for a solid that is known to be of low toxicity, and never applied silently.

    Parameters
    ----------
    list_key : str
        Key of a list, see `lists`.

    Returns
    -------
    tuple of Limit
        With an empty `cas`; empty where the list has none (NIOSH has none: Pocket Guide, Appendix D).
    """
    item = known(list_key)
    if not item.file:
        return ()
    return tuple(limit for row in entries(list_key).get("dust", ()) for limit in _limits("", row, item))


def _rows(cas: str, list_key: str) -> tuple[Entry, ...]:
    table = entries(list_key)
    names = dict.fromkeys([cas, *(member.group for member in groups_of(cas))])
    return tuple(row for name in names for row in table.get(name, ()))


def _limits(cas: str, row: Entry, item: LimitList) -> list[Limit]:
    """One `Limit` for each value that an entry prints."""
    found: list[Limit] = []
    for column, basis in _BASES:
        if not row[column]:
            continue
        value, unit, note = float(row[column]), row["unit"], row["note"]
        if unit == "ug/m3":
            note = "; ".join(part for part in (f"printed as {row[column]} µg/m³", note) if part)
            value, unit = value / 1000.0, "mg/m3"
        found.append(
            Limit(
                cas=cas,
                name=row["name"],
                list=item.key,
                edition=item.edition,
                basis=basis,
                value=value,
                unit=cast(Literal["ppm", "mg/m3"], unit),
                measured_as=row["measured_as"],
                fraction=row["fraction"],
                minutes=_minutes(basis, row, item),
                notations=tuple(_NOTATIONS[word] for word in row["notations"].split()),
                source=item.source,
                locator=row.get("locator") or f"{item.locator}, {row['name']}",
                note=note,
            )
        )
    return found


def _minutes(basis: str, row: Entry, item: LimitList) -> float | None:
    """The printed averaging time: that of the STEL or ceiling where there is one, else of the TWA."""
    short = bool(row["stel"] or row["ceiling"])
    if row["minutes"] and short != (basis == "TWA"):
        return float(row["minutes"])
    return {"TWA": item.twa_minutes, "STEL": item.stel_minutes}.get(basis)
