"""The case: containers, their substances, limits, hazards and properties, gathered once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from stillroom.cabinet.design import Cabinet
from stillroom.errors import InputError, Problem
from stillroom.inventory.model import Component, Container, Inventory
from stillroom.room.model import Room
from stillroom.sources import Sourced
from stillroom.substances.hazards import hazards as hazards_of
from stillroom.substances.limits import choose, lists
from stillroom.substances.model import Admission, Hazards, Limit, LimitChoice, Ordering, Properties, Substance
from stillroom.substances.properties import properties as properties_of
from stillroom.units import GAS_CONSTANT

__all__ = ["INVOLATILE", "WATER", "Case", "Subject", "concentration", "gather", "limit_in_air"]

WATER = "7732-18-5"
INVOLATILE = 1e-3
"""Vapour pressure below which nothing worth counting evaporates [Pa]: 0.01 ppm over the liquid itself."""
_ORDER = (Admission.ORDINARY, Admission.NEEDS_MEDIUM, Admission.UNKNOWN, Admission.REFUSED)


@dataclass(frozen=True, slots=True)
class Subject:
    """One substance and every container that holds it."""

    substance: Substance
    containers: tuple[Container, ...]
    hazards: Hazards
    """the gravest among its containers"""
    properties: Properties
    limits: LimitChoice
    surrogate: Limit | None = None
    """a limit lent by a class of substances, where the substance has none of its own"""

    @property
    def cas(self) -> str:
        return self.substance.cas

    @property
    def criterion(self) -> Limit | None:
        return self.limits.criterion or self.surrogate

    @property
    def involatile(self) -> bool:
        """Known to give no vapour worth counting (unknown is not involatile)."""
        pressure = self.properties.saturation_pressure
        return isinstance(pressure, Sourced) and pressure.value < INVOLATILE


@dataclass(frozen=True, slots=True)
class Case:
    """Everything that one assessment asks about."""

    inventory: Inventory
    cabinet: Cabinet
    room: Room
    subjects: tuple[Subject, ...]
    list_keys: tuple[str, ...]
    ordering: Ordering
    seed: int = 1
    draws: int = 1000
    notes: tuple[str, ...] = field(default=())
    weighed: dict[str, float] = field(default_factory=dict)
    """CAS number to what its closed bottles may lose, all together [mol/s]"""

    @property
    def containers(self) -> tuple[Container, ...]:
        return self.inventory.containers

    def without(self, keys: frozenset[str]) -> Case:
        """The same case without the containers `keys`; substances that stand in no other go too."""
        kept = tuple(item for item in self.containers if item.key not in keys)
        subjects = []
        for subject in self.subjects:
            left = tuple(item for item in subject.containers if item.key not in keys)
            if left:
                subjects.append(replace(subject, containers=left))
        return replace(self, inventory=replace(self.inventory, containers=kept), subjects=tuple(subjects))


def limit_in_air(limit: Limit, properties: Properties, room: Room) -> float | None:
    """A limit as an amount in the room's air [mol/m³]; None where a molar mass is wanting.

    Parameters
    ----------
    limit : Limit
        In ppm or mg/m³.
    properties : Properties
        Gives the molar mass.
    room : Room
        Gives temperature and pressure.

    Notes
    -----
    ppm is a mole fraction at any state of the air; mg/m³ is divided by the molar mass. A limit "as X" is taken
    on the whole substance's mass, which is cautious.
    """
    if limit.unit == "ppm":
        return limit.value * 1e-6 * room.pressure / (GAS_CONSTANT * room.temperature)
    mass = properties.molar_mass
    return limit.value * 1e-3 / mass.value if isinstance(mass, Sourced) else None


def concentration(limit: Limit, subject: Subject, room: Room) -> float | None:
    """`limit_in_air` for a subject [mol/m³]."""
    return limit_in_air(limit, subject.properties, room)


def gather(
    inventory: Inventory,
    cabinet: Cabinet,
    room: Room,
    *,
    seed: int = 1,
    draws: int = 1000,
    hand_limits: Sequence[Limit] = (),
) -> Case:
    """The case that an inventory, a cabinet and a room make.

    Parameters
    ----------
    inventory, cabinet, room :
        As read.
    seed : int
        Of the Monte Carlo draws [-].
    draws : int
        Number of draws, 100 … 20 000 [-].
    hand_limits : sequence of Limit
        Entered by the user; each stands before the lists for its substance.

    Raises
    ------
    InputError
        The draws are out of range, a list is not known, the inventory is empty, or an amount, a count or a strength is impossible.
    """
    if not 100 <= draws <= 20_000:
        raise InputError(Problem("draws must be between 100 and 20000", "Choose 1000.", found=str(draws)))
    if not inventory.containers:
        raise InputError(Problem("the inventory holds no container", "Add a row.", file=inventory.file))
    _check_amounts(inventory)
    keys = room.limit_lists or tuple(entry.key for entry in lists() if not entry.own)
    ordering = Ordering(room.limit_ordering)
    by_hand: dict[str, list[Limit]] = {}
    for limit in hand_limits:
        by_hand.setdefault(limit.cas, []).append(limit)
    held: dict[str, list[tuple[Container, Component]]] = {}
    for container in inventory.containers:
        for component in container.components if container.known else ():
            if component.substance.cas != WATER or len(container.components) == 1:
                held.setdefault(component.substance.cas, []).append((container, component))
    subjects = []
    for cas, places in held.items():
        gravest = max(
            (
                hazards_of(cas, mass_fraction=component.mass_fraction, state=container.state)
                for container, component in places
            ),
            key=lambda item: _ORDER.index(item.admission),
        )
        choice = choose(cas, lists=keys, ordering=ordering)
        if cas in by_hand:
            choice = _with_hand_limits(choice, by_hand[cas])
        subjects.append(
            Subject(
                substance=places[0][1].substance,
                containers=tuple(container for container, _ in places),
                hazards=gravest,
                properties=properties_of(cas, temperature=room.temperature),
                limits=choice,
            )
        )
    subjects.sort(key=lambda subject: subject.containers[0].row)
    return Case(inventory, cabinet, room, tuple(subjects), tuple(keys), ordering, seed, draws)


def _check_amounts(inventory: Inventory) -> None:
    """An amount, a count or a strength that is NaN, nothing or negative is never computed with."""
    problems = []
    for item in inventory.containers:
        strengths = [part.mass_fraction for part in item.components if part.mass_fraction is not None]
        faults = {
            "amount": not (math.isfinite(item.amount.value) and item.amount.value > 0),
            "count": item.count < 1,
            "opened_per_week": not (math.isfinite(item.opened_per_week) and item.opened_per_week >= 0),
            "concentration": any(not 0 < strength <= 1 for strength in strengths),
        }
        problems += [
            Problem("is not possible", "Correct it.", file=inventory.file, row=item.row, column=column)
            for column, wrong in faults.items()
            if wrong
        ]
    if problems:
        raise InputError(problems)


def _with_hand_limits(choice: LimitChoice, limits: list[Limit]) -> LimitChoice:
    """Hand-entered limits stand first; a list's limit of another basis stays where it is stricter or alone."""
    bases = {"TWA": choice.twa, "STEL": choice.stel, "C": choice.ceiling}
    for limit in limits:
        bases[limit.basis] = limit
    candidates = [limit for limit in (bases["TWA"], bases["C"], bases["STEL"]) if limit is not None]
    words = tuple(
        f"{limit.basis} {limit.value:g} {limit.unit} was entered by hand: {limit.note}" for limit in limits
    )
    return LimitChoice(
        cas=choice.cas,
        twa=bases["TWA"],
        stel=bases["STEL"],
        ceiling=bases["C"],
        criterion=_lowest(candidates),
        all=(*limits, *choice.all),
        reasons=(*words, *choice.reasons),
    )


def _lowest(limits: list[Limit]) -> Limit:
    """The lowest among limits of one unit; the TWA where units differ."""
    if len({limit.unit for limit in limits}) > 1:
        return limits[0]
    return min(limits, key=lambda limit: limit.value if math.isfinite(limit.value) else math.inf)
