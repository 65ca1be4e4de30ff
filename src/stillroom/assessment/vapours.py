"""The vapours that meet the filter, stored and brought in by the room, and one drawn filter stack."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stillroom import bed, emission
from stillroom.assessment.case import WATER, Case, Subject
from stillroom.room import draw_humidity
from stillroom.sources import Sourced
from stillroom.substances.hazards import hazards as hazards_of
from stillroom.substances.properties import properties as properties_of

__all__ = ["AirFlow", "Vapours", "grid_days", "release"]

Array = NDArray[np.float64]


def grid_days(longest: float) -> Array:
    """Ages at which the filter is looked at, (n_t,) [days]: now, then evenly in the logarithm to five times `longest`.

    Parameters
    ----------
    longest : float
        The age clock [days].
    """
    return np.concatenate([[0.0], np.geomspace(1.0, max(5.0 * longest, 30.0), 40)])


@dataclass(frozen=True, slots=True)
class AirFlow:
    """What carries vapour away. [m³/s] and [m³]"""

    cabinet: float
    ventilation: float
    room_volume: float

    @classmethod
    def of(cls, case: Case) -> AirFlow:
        """From the case's cabinet and room."""
        room = case.room
        return cls(case.cabinet.flow, room.air_changes_per_h / 3600.0 * room.volume, room.volume)


@dataclass(frozen=True, slots=True, eq=False)
class Vapours:
    """Vapours in the order of `cas`; arrays are (n_v, size)."""

    cas: tuple[str, ...]
    emission: Array
    """stored [mol/s]"""
    closed: Array
    """the part of `emission` that leaves closed bottles, not through openings [mol/s]"""
    background: Array
    """in the room's air [mol/m³]"""
    stack: bed.Stack
    flow: AirFlow
    dust_cas: tuple[str, ...]
    dust: Array
    """(n_dust, size) [kg/s]"""
    notes: tuple[str, ...]
    missing: dict[str, str]

    @property
    def size(self) -> int:
        return int(self.emission.shape[1])

    def stored_inlet(self, penetration: Array) -> Array:
        """What the stored containers add at the inlet, with what comes back through the room [mol/m³].

        Parameters
        ----------
        penetration : ndarray, broadcasts with (n_v, size)
            Exhaust over inlet P [-].

        Notes
        -----
        Steady balances of cabinet and room: c_in = E/Q + c_room, c_room (λV + Q(1 − P)) = P E.
        """
        flow = self.flow
        inflow = self.emission / flow.cabinet
        back = (
            penetration
            * self.emission
            / (flow.ventilation + flow.cabinet * (1.0 - np.minimum(penetration, 1.0)))
        )
        return np.asarray(inflow + back)

    def inlet(self, penetration: Array) -> Array:
        """Stored and background together at the inlet [mol/m³], for a penetration [-]."""
        return np.asarray(self.stored_inlet(penetration) + self.background)

    def held_to(self, cas: str, most: float) -> Vapours:
        """The same draws, the closed bottles of one substance held to a loss; as `release` draws them with `weighed`.

        Parameters
        ----------
        cas : str
        most : float
            What all of them together lose [mol/s].
        """
        place = self.cas.index(cas)
        closed, emission = self.closed.copy(), self.emission.copy()
        closed[place] = np.minimum(closed[place], most)
        emission[place] += closed[place] - self.closed[place]
        return replace(self, closed=closed, emission=emission)


def release(case: Case, rng: np.random.Generator) -> Vapours:
    """Draw the normal release of all containers, the background, and the filter stack.

    Parameters
    ----------
    case : Case
    rng : numpy.random.Generator

    Notes
    -----
    A background vapour that is also stored counts as one vapour at the filter; what is stored and what the room
    brought are told apart by their shares of the inlet. A vapour that only loaded the filter in place before has neither.
    """
    room, size = case.room, case.draws
    given = emission.normal_release(
        case.containers, temperature=room.temperature, pressure=room.pressure, rng=rng, size=size
    )
    openings = dict(zip(given.cas, given.by_term["openings"], strict=True))
    closed = {
        cas: rate - openings[cas] for cas, rate in zip(given.cas, given.rate, strict=True) if cas != WATER
    }
    closed |= {cas: np.minimum(closed[cas], most) for cas, most in case.weighed.items() if cas in closed}
    rates = {cas: rate + openings[cas] for cas, rate in closed.items()}
    missing = dict(given.missing or {})
    background: dict[str, Array] = {}
    for entry in room.backgrounds:
        spread = np.exp(rng.standard_normal(size) * np.log(entry.uncertainty_factor) / 1.6449)
        mass = properties_of(entry.cas, temperature=room.temperature).molar_mass
        if not isinstance(mass, Sourced):
            missing[entry.cas] = f"background: {mass.reason}"
            continue
        level = entry.mg_m3 * 1e-3 / mass.value * spread
        background[entry.cas] = background.get(entry.cas, np.zeros(size)) + level
    served = [cas for period in case.cabinet.filters.served for cas, _ in period.vapours]
    names = tuple(dict.fromkeys((*rates, *background, *served)))
    by_cas = {subject.cas: subject for subject in case.subjects}
    vapours = [_vapour(cas, by_cas.get(cas), room.temperature) for cas in names]
    zero = np.zeros(size)
    stack = bed.Stack.draw(
        case.cabinet.filters,
        vapours,
        flow=case.cabinet.flow,
        temperature=room.temperature,
        pressure=room.pressure,
        relative_humidity=draw_humidity(room, rng.spawn(1)[0], size),
        rng=rng,
        size=size,
    )
    return Vapours(
        cas=names,
        emission=np.array([rates.get(cas, zero) for cas in names]).reshape(len(names), size),
        closed=np.array([closed.get(cas, zero) for cas in names]).reshape(len(names), size),
        background=np.array([background.get(cas, zero) for cas in names]).reshape(len(names), size),
        stack=stack,
        flow=AirFlow.of(case),
        dust_cas=given.dust_cas,
        dust=given.dust_rate,
        notes=given.notes,
        missing=missing,
    )


def _vapour(cas: str, subject: Subject | None, temperature: float) -> bed.Vapour:
    if subject is not None:
        return bed.Vapour(subject.properties, family=subject.hazards.medium_family)
    hazards = hazards_of(cas, mass_fraction=1.0, state="")
    return bed.Vapour(properties_of(cas, temperature=temperature), family=hazards.medium_family)
