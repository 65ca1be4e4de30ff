"""The retention listing: what the layers of a medium hold of each substance by itself, at stated conditions.

Each substance comes alone and constant until what leaves the last layer reaches the end. That is how filters are compared;
it is no service life: a cabinet's air holds far less, of many vapours at once, and less is held of each.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillroom import bed
from stillroom.errors import CannotTell
from stillroom.media.model import Bed, FilterStack, Interval, Medium
from stillroom.sources import Sourced
from stillroom.substances import Admission, hazards, limits, properties, resolve
from stillroom.units import GAS_CONSTANT

__all__ = ["Conditions", "Retained", "listing"]

Array = NDArray[np.float64]

_TIGHT = Interval(1e-12, 1e-12, 1e-12, "", "the listing is of the medium, not of its seal")
_SMALLEST_SHARE, _LARGEST_SHARE = 1e-4, 0.5
"""Of the inlet, between which the end is kept: lower is no measurement, higher no filter [-]."""


@dataclass(frozen=True, slots=True)
class Conditions:
    """At which a listing holds."""

    ppm: float = 100.0
    """of each substance, by itself"""
    relative_humidity: float = 0.4
    temperature: float = 295.15
    """[K]"""
    pressure: float = 101325.0
    """[Pa]"""
    flow: float = 160.0 / 3600.0
    """[m³/s]"""
    mass: float = 4.0
    """of a layer [kg]"""
    area: float = 0.25
    """[m²]"""
    end: float | None = None
    """outlet of the last layer over inlet; None: 1 % of the 8-hour limit, or 1 % of the inlet where there is none"""
    lists: tuple[str, ...] = ()
    """of limits, for the end; empty: the shipped ones"""

    def words(self) -> str:
        """In a sentence."""
        end = "1 % of the exposure limit, or of the inlet where there is none" if self.end is None else f"{100 * self.end:g} % of the inlet"  # fmt: skip
        return (
            f"{self.ppm:g} ppm of one substance at a time, {self.temperature - 273.15:g} °C, "
            f"{100 * self.relative_humidity:g} % relative humidity, {3600 * self.flow:g} m³/h, layers of {self.mass:g} kg "
            f"on {self.area:g} m², until what leaves the last layer is {end}"
        )


@dataclass(frozen=True, slots=True)
class Retained:
    """What the layers hold of one substance at the end."""

    cas: str
    name: str
    first: tuple[float, float, float]
    """on the first layer, 5, 50 and 95 % [g]"""
    second: tuple[float, float, float] | None
    """on the second; None where there is one layer"""
    end_ppm: float
    """in the air that leaves the last layer"""
    end_basis: str
    hours: tuple[float, float, float]
    """until then"""
    origin: str
    """"estimated", or "published capacity" of an impregnation"""
    remark: str = ""
    """whether such a cabinet may hold it at all"""


def listing(
    medium: Medium,
    *,
    layers: int = 1,
    conditions: Conditions | None = None,
    cas: Iterable[str] | None = None,
    draws: int = 400,
    seed: int = 1,
) -> tuple[Retained, ...]:
    """What a medium holds of each substance, by name.

    Parameters
    ----------
    medium : Medium
        Of all layers.
    layers : int
        In series, one to four [-].
    conditions : Conditions
        None: the usual ones.
    cas : iterable of str
        CAS numbers; None: all that the shipped lists of limits name.
    draws, seed : int
        Of the Monte Carlo; same seed, same listing [-].

    Notes
    -----
    Left out is what the gate refuses, and what lacks a property that the computation needs. Uptake and rate by
    `bed.Stack`; where the first layer of several ends and the next begins is told by the same draws of one layer alone.
    """
    at = conditions or Conditions()
    lists = at.lists or tuple(item.key for item in limits.lists())
    found = []
    for number in dict.fromkeys(limits.listed() if cas is None else cas):
        row = _row(medium, number, layers=layers, at=at, lists=lists, draws=draws, seed=seed)
        if row is not None:
            found.append(row)
    return tuple(sorted(found, key=lambda row: (row.name.casefold(), row.cas)))


def _row(
    medium: Medium, cas: str, *, layers: int, at: Conditions, lists: Sequence[str], draws: int, seed: int
) -> Retained | None:
    known = properties(cas, temperature=at.temperature)
    substance = resolve(cas=cas).substance
    danger = hazards(cas)
    mass = known.molar_mass
    refused = danger.admission is Admission.REFUSED and not danger.medium_family
    if substance is None or not isinstance(mass, Sourced) or refused:
        return None
    if not danger.medium_family and _dense(known.saturation_pressure, at):
        return None
    vapour = bed.Vapour(known, family=danger.medium_family)
    stacks = {
        count: _stack(medium, vapour, count, at=at, draws=draws, seed=seed)
        for count in sorted({1, min(layers, 2), layers})
    }
    whole = stacks[layers]
    if cas in whole.missing or (danger.medium_family and not _takes(medium, danger.medium_family)):
        return None
    inlet = np.full((1, draws), at.ppm * 1e-6 * at.pressure / (GAS_CONSTANT * at.temperature))
    share, end_ppm, basis = _end(cas, known_mass=mass.value, at=at, lists=lists)
    age = whole.time_to(share, inlet)
    on_first = stacks[1].held_at(age, inlet)[0] * mass.value
    return Retained(
        cas,
        substance.name,
        _points(on_first),
        None if layers == 1 else _points(stacks[2].held_at(age, inlet)[0] * mass.value - on_first),
        end_ppm,
        basis,
        _points(age[0] / 3600.0),
        "published capacity" if danger.medium_family else "estimated",
        "" if danger.admission is Admission.ORDINARY else danger.admission.value,
    )


def _dense(saturation: object, at: Conditions) -> bool:
    """Whether so much of it cannot be in air at all."""
    return isinstance(saturation, Sourced) and saturation.value < at.ppm * 1e-6 * at.pressure


def _takes(medium: Medium, family: str) -> bool:
    return any(item.family == family for item in medium.impregnations)


def _stack(
    medium: Medium, vapour: bed.Vapour, layers: int, *, at: Conditions, draws: int, seed: int
) -> bed.Stack:
    beds = (Bed(medium, at.mass, at.area),) * layers
    return bed.Stack.draw(
        FilterStack(None, beds, _TIGHT),
        [vapour],
        flow=at.flow,
        temperature=at.temperature,
        pressure=at.pressure,
        relative_humidity=at.relative_humidity,
        rng=np.random.default_rng(seed),
        size=draws,
    )


def _end(cas: str, *, known_mass: float, at: Conditions, lists: Sequence[str]) -> tuple[float, float, str]:
    """Outlet over inlet at the end, in ppm, and why."""
    if at.end is not None:
        return at.end, at.end * at.ppm, f"{100 * at.end:g} % of the inlet"
    try:
        criterion = limits.choose(cas, lists=lists).criterion
    except CannotTell:
        criterion = None
    if criterion is None:
        return 0.01, 0.01 * at.ppm, "no limit: 1 % of the inlet"
    ppm = criterion.value
    if criterion.unit != "ppm":
        ppm = criterion.value * 1e-3 / known_mass * GAS_CONSTANT * at.temperature / at.pressure * 1e6
    share = float(np.clip(0.01 * ppm / at.ppm, _SMALLEST_SHARE, _LARGEST_SHARE))
    words = f"1 % of {criterion.value:g} {criterion.unit} ({criterion.list})"
    return share, share * at.ppm, words if share == 0.01 * ppm / at.ppm else f"{words}, kept to {100 * share:g} % of the inlet"  # fmt: skip


def _points(values: Array) -> tuple[float, float, float]:
    p05, p50, p95 = np.quantile(values, [0.05, 0.5, 0.95])
    return float(p05), float(p50), float(p95)
