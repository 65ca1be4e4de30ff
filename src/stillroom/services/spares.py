"""Which cartridges to order for the filters that fall due, and which cabinets are at risk now."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from stillroom.services.due import Due
from stillroom.services.history import History
from stillroom.services.in_place import approving

__all__ = ["DAYS", "Risk", "Spare", "Spares", "spares"]

DAYS = 90
"""Days ahead where nobody asks for others: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Spare:
    """Cartridges of one kind."""

    medium: str
    mass_kg: float
    """of the medium in each [kg]"""
    cartridges: int
    cabinets: int
    late: int
    """of the cartridges, those whose date has passed"""
    first: datetime.date
    """when the first of them is put in, today where that is late"""

    @property
    def total_kg(self) -> float:
        """Of the medium in all of them [kg]."""
        return self.mass_kg * self.cartridges


@dataclass(frozen=True, slots=True)
class Risk:
    """A cabinet that protects less than its label says, or of which nobody knows."""

    subject: str
    """key of the cabinet"""
    name: str
    site: str
    room: str
    place: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Spares:
    """What to order within some days, and what is at risk today."""

    days: int
    order: tuple[Spare, ...]
    unknown: tuple[str, ...]
    """names of cabinets whose filters are not in the order: nothing approves them, so nobody knows which they need"""
    at_risk: tuple[Risk, ...]

    def as_json(self) -> dict[str, Any]:
        order = [
            {
                "medium": item.medium,
                "mass_kg": item.mass_kg,
                "cartridges": item.cartridges,
                "total_kg": item.total_kg,
                "cabinets": item.cabinets,
                "late": item.late,
                "first": item.first.isoformat(),
            }
            for item in self.order
        ]
        names = ("subject", "name", "site", "room", "place", "reasons")
        at_risk = [{name: getattr(item, name) for name in names} for item in self.at_risk]
        return {"days": self.days, "order": order, "unknown": self.unknown, "at_risk": at_risk}


def spares(
    histories: Iterable[History], items: Sequence[Due], *, today: datetime.date, days: int = DAYS
) -> Spares:
    """Cartridges for every replacement within so many days, and the cabinets at risk.

    Parameters
    ----------
    histories : iterable of History
        Of the cabinets in use.
    items : sequence of Due
        What is due for them, however far ahead.
    today : datetime.date
    days : int
        From today [days].

    Notes
    -----
    A cabinet gets the beds that were validated for it, each a cartridge; where its filter lasts shorter than `days`, more
    than once, one label's life after another. A filter that is late, leaks or is not the one validated is taken to be
    changed today. Particulate filters are not counted: no date of theirs is known.
    """
    approved = {kept.cabinet.key: approving(kept) for kept in histories}
    until = today + datetime.timedelta(days=days)
    cartridges: Counter[tuple[str, float]] = Counter()
    cabinets: Counter[tuple[str, float]] = Counter()
    late: Counter[tuple[str, float]] = Counter()
    first: dict[tuple[str, float], datetime.date] = {}
    for item in items:
        signed = approved.get(item.subject)
        if item.kind != "replacement" or signed is None or item.date > until:
            continue
        begin = max(item.date, today)
        changes = _changes(begin, until, signed.label_life_days)
        kinds = [(str(bed["medium"]), float(bed["mass_kg"])) for bed in signed.beds]
        for kind in kinds:
            cartridges[kind] += changes
            late[kind] += item.overdue
            first[kind] = min(first.get(kind, begin), begin)
        cabinets.update(set(kinds))
    order = [
        Spare(*kind, cartridges[kind], cabinets[kind], late[kind], first[kind]) for kind in sorted(first)
    ]
    names = {item.subject: item.name for item in items}
    unknown = [names[key] for key, signed in approved.items() if signed is None and key in names]
    return Spares(days, tuple(order), tuple(sorted(unknown)), _at_risk(items))


def _changes(begin: datetime.date, until: datetime.date, life_days: float | None) -> int:
    """How often a filter is put in from the first time to the last day, both included [-]."""
    if life_days is None:
        return 1
    return 1 + (until - begin).days // max(int(life_days), 1)


def _at_risk(items: Sequence[Due]) -> tuple[Risk, ...]:
    """By the number of reasons, the most first."""
    found: dict[str, list[Due]] = {}
    for item in items:
        if item.risk:
            found.setdefault(item.subject, []).append(item)
    rows = [
        Risk(key, one.name, one.site, one.room, one.place, tuple(item.risk for item in those))
        for key, those in found.items()
        for one in those[:1]
    ]
    return tuple(sorted(rows, key=lambda row: (-len(row.reasons), row.site, row.name, row.subject)))
