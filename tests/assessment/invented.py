"""Invented inventories, cabinets and rooms for the tests of the verdict."""

from __future__ import annotations

from typing import Any

from stillroom.assessment import Assessment, assess
from stillroom.cabinet.design import Cabinet
from stillroom.cabinet.load import parse_cabinet, shipped_tables
from stillroom.inventory.model import Component, Container, Inventory, State
from stillroom.room.load import parse_room
from stillroom.room.model import Room
from stillroom.substances import resolve
from stillroom.substances.model import Substance
from stillroom.units import Quantity

LITRE = 1e-3
DRAWS = 200
"""Enough for verdicts that do not lie on an edge."""


def substance(cas: str) -> Substance:
    found = resolve(cas=cas).substance
    assert found is not None
    return found


def bottle(
    row: int, cas: str, amount: float, count: int = 1, *, state: State = "liquid", strength: float = 1.0
) -> Container:
    """`amount` in m³, for solids in kg; `strength` is the mass fraction in water."""
    what = substance(cas)
    parts = [Component(what, strength)]
    if strength < 1.0:
        parts.append(Component(substance("7732-18-5"), 1.0 - strength))
    quantity = Quantity(amount, "mass" if state == "solid" else "volume")
    return Container(
        f"r{row}", row, what.name, cas, tuple(parts), quantity, count, state, closure="screw cap with liner"
    )


def unlabelled(row: int, count: int = 1) -> Container:
    return Container(
        f"r{row}",
        row,
        "bottle",
        "",
        (),
        Quantity(LITRE, "volume"),
        count,
        "unknown",
        unknown_reason="no label",
    )


def inventory(*containers: Container) -> Inventory:
    return Inventory(containers, "invented.csv", "0" * 64, {})


def cabinet(*more_beds: str, **filters: Any) -> Cabinet:
    """200 m³/h with 8 kg of coconut carbon; `more_beds` of 4 kg behind it."""
    tables = shipped_tables("full-height")
    tables["filters"]["bed"] += [{"medium": name, "mass_kg": 4.0, "area_m2": 0.30} for name in more_beds]
    tables["filters"].update(filters)
    return parse_cabinet(tables)


def room(**tables: Any) -> Room:
    """A laboratory of 60 m³ with 6 air changes an hour."""
    return parse_room({"room": {"name": "invented", "volume_m3": 60, "air_changes_per_h": 6}, **tables})


def answer(
    *containers: Container, house: Cabinet | None = None, place: Room | None = None, seed: int = 1
) -> Assessment:
    return assess(inventory(*containers), house or cabinet(), place or room(), seed=seed, draws=DRAWS)


def reasons(result: Assessment, cas: str) -> str:
    """All that the answer says of one substance."""
    return " ".join(
        finding.reason for item in result.subjects if item.subject.cas == cas for finding in item.findings
    )
