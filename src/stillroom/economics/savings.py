"""A year of either cabinet in energy and money, with its interval."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillroom.economics.climate import HOURS
from stillroom.economics.conditioning import demand, moist_air
from stillroom.economics.model import Case
from stillroom.media import sample
from stillroom.media.model import Interval

__all__ = ["Savings", "savings"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Savings:
    """A year's figures, arrays over the draws, (size,)."""

    cooling: Array
    """heat removed from the ducted cabinet's make-up air [kWh/year]"""
    heating: Array
    """heat given to it, with humidifying [kWh/year]"""
    electricity: Array
    """bought for the ducted cabinet less that for the filtered one [kWh/year]"""
    heat: Array
    """bought for heating and humidifying make-up air [kWh/year]"""
    ducted: Array
    """[currency/year]"""
    filtered: Array
    """[currency/year]"""
    parts: dict[str, Array]
    """each part of either sum [currency/year]"""
    assumptions: tuple[str, ...]

    @property
    def saved(self) -> Array:
        """[currency/year]; negative where the filtered cabinet is dearer."""
        return np.asarray(self.ducted - self.filtered)


def savings(case: Case, *, seed: int = 1, draws: int = 2000) -> Savings:
    """What a year of the filtered cabinet saves against the ducted one.

    Parameters
    ----------
    case : Case
    seed : int
        Of the draws [-].
    draws : int
        Number of draws [-].

    Notes
    -----
    The ducted cabinet throws Q of room air away; as much outdoor air, the same mass of dry air, takes its place and is brought
    to the room's state, month by month at the mean state of the month. Both fans end as heat: the filtered one's stays in the room
    and is cooled away in months in which make-up air is cooled; the roof fan's does not.

    Validity: monthly means leave out that a month holds hours to cool and hours to heat; in temperate months both are somewhat too small.
    """
    rng = np.random.default_rng(seed)
    drawn = _Drawn(rng, draws)
    temperature, humidity = drawn(case.room.temperature), np.minimum(drawn(case.room.relative_humidity), 1.0)
    share = case.running_hours / sum(HOURS)
    cooling, heating = np.zeros(draws), np.zeros(draws)
    hours_cooled = np.zeros(draws)
    keep = 1.0 - np.minimum(drawn(case.plant.recovery), 1.0)
    states, place = np.unique(np.column_stack((temperature, humidity)), axis=0, return_inverse=True)
    mass = np.array(
        [
            case.flow / moist_air(float(state[0]), float(state[1]), case.room.pressure).volume
            for state in states
        ]
    )[place]
    for month, hours in zip(case.climate.months, HOURS, strict=True):
        needs = [
            demand(
                (month.temperature, month.relative_humidity),
                (float(state[0]), float(state[1])),
                pressure=case.room.pressure,
                humidifies=case.plant.humidifies,
                reheats=case.plant.reheats,
            )
            for state in states
        ]
        to_cool = np.array([need.cooling for need in needs])[place]
        to_heat = np.array([need.heating + need.humidifying for need in needs])[place]
        cooling += mass * to_cool * hours * share * keep
        heating += mass * to_heat * hours * share * keep
        hours_cooled += np.where(to_cool > to_heat, hours * share, 0.0)
    cop, efficiency = drawn(case.plant.cooling_cop), drawn(case.plant.heating_efficiency)
    fan_ducted, fan_filtered = drawn(case.ducted.fan) / 1000.0, drawn(case.filtered.fan) / 1000.0
    cooling_bought, heat_bought = cooling / cop, heating / efficiency
    fan_heat = fan_filtered * hours_cooled / cop
    price, heat_price = drawn(case.prices.electricity), drawn(case.prices.heat)
    life = drawn(case.filtered.filter_life_days)
    parts = {
        "ducted: cooling make-up air": cooling_bought * price,
        "ducted: heating make-up air": heat_bought * heat_price,
        "ducted: fan": fan_ducted * case.running_hours * price,
        "ducted: upkeep": drawn(case.ducted.upkeep),
        "ducted: installation, spread": drawn(case.ducted.installation) / case.ducted.lasts_years,
        "filtered: fan": fan_filtered * case.running_hours * price,
        "filtered: cooling the fan's heat": fan_heat * price,
        "filtered: filters": drawn(case.filtered.filter_set) * 365.0 / life,
        "filtered: visits": drawn(case.filtered.visits_per_year) * drawn(case.filtered.visit),
    }
    total = {
        kind: np.sum([part for name, part in parts.items() if name.startswith(kind)], axis=0)
        for kind in ("ducted", "filtered")
    }
    return Savings(
        cooling=cooling,
        heating=heating,
        electricity=cooling_bought
        + fan_ducted * case.running_hours
        - fan_filtered * case.running_hours
        - fan_heat,
        heat=heat_bought,
        ducted=total["ducted"],
        filtered=total["filtered"],
        parts=parts,
        assumptions=_assumptions(case),
    )


class _Drawn:
    """Draws of intervals, one after the other from one generator; nothing and constants take no randomness."""

    def __init__(self, rng: np.random.Generator, size: int) -> None:
        self._rng, self._size = rng, size

    def __call__(self, interval: Interval) -> Array:
        if interval.p05 == interval.p95:
            return np.full(self._size, interval.p50)
        return sample(interval, self._rng, self._size)


def _assumptions(case: Case) -> tuple[str, ...]:
    plant = case.plant
    return (
        f"The ducted cabinet exhausts {case.flow * 3600.0:.0f} m³/h for {case.running_hours:.0f} h a year, and outdoor air takes its place.",
        f"Outdoor air: monthly means, {case.climate.source}. Hours that differ from their month's mean are left out.",
        "Air that must be dried is heated again after the coil."
        if plant.reheats
        else "Air that was dried is not heated again.",
        "Dry air is humidified." if plant.humidifies else "Dry air is not humidified.",
        "The filtered cabinet's fan heats the room; the ducted one's does not.",
        f"The installation of the duct is spread over {case.ducted.lasts_years:g} years without interest.",
        "The room needs no more air than it has without the ducted cabinet; where its ventilation is needed anyway, the make-up air saves nothing.",
    )
