"""What one list says of one substance."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal, cast

from stillroom.substances.kin import Kin, kin_of
from stillroom.substances.limits import ontario
from stillroom.substances.limits.model import Entry, LimitList
from stillroom.substances.limits.tables import entries, groups_of, known, label
from stillroom.substances.model import Basis, Limit

__all__ = ["nuisance_dust", "of", "remarks"]

_NOTATIONS = {"skin": "skin", "ca": "carcinogen", "sen": "sensitiser", "lf": "lowest feasible"}
_KINSHIP = {
    "hydrate": "{kin.name} is its hydrate",
    "deuterated": "{kin.name} is the same with deuterium for hydrogen",
    "form": "the entry covers {kin.name}",
    "isomer": "the entry covers all isomers, as {kin.name}",
}
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
    kin = kin_of(cas)
    if kin is None or _judged_as(cas, item) == cas:
        return _of(cas, item)
    return tuple(_for_kin(limit, kin) for limit in _of(kin.parent, item))


def _judged_as(cas: str, item: LimitList) -> str:
    """The CAS number whose entries apply: the parent's, unless the list names the substance itself."""
    kin = kin_of(cas)
    named = cas in (entries(item.key) if item.file else ontario.table())
    return cas if kin is None or named or (kin.lists and item.key not in kin.lists) else kin.parent


def _of(cas: str, item: LimitList) -> tuple[Limit, ...]:
    """What the list prints for the substance or for a group that it belongs to."""
    if not item.file:
        return ontario.of(cas, item)
    return tuple(limit for row in _rows(cas, item.key) for limit in _limits(cas, row, item))


def _for_kin(limit: Limit, kin: Kin) -> Limit:
    """A limit that the list prints for the parent, as it applies to the substance.

    As an element it needs no words: the mass fraction knows the water. In ppm the two count the same molecules.
    In mg/m³ the value is taken as it stands: a hydrate or deuterated compound is heavier than its parent, so
    that is the cautious side.
    """
    if limit.measured_as:
        return replace(limit, cas=kin.cas)
    parent = f"{kin.parent_name} ({kin.parent})"
    words = f"The limit is printed for {parent}: {_KINSHIP[kin.kind].format(kin=kin)}"
    if limit.unit == "mg/m3" and kin.kind in ("hydrate", "deuterated"):
        words += ", taken as it stands, which is cautious"
    note = "; ".join(part for part in (words, limit.note) if part)
    return replace(limit, cas=kin.cas, printed_for=parent, note=note)


def remarks(cas: str, list_key: str) -> tuple[str, ...]:
    """What a list says of a substance for which it prints no number ("lowest feasible concentration")."""
    item = known(list_key)
    if not item.file:
        return ()
    return tuple(
        f"{item.title}: {row['name']}, no number; {row['note']}".rstrip("; ")
        for row in _rows(_judged_as(cas, item), list_key)
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
        if label(row) in item.from_memory:
            note = "; ".join(
                part for part in ("value from memory, not compared with the print", note) if part
            )
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
