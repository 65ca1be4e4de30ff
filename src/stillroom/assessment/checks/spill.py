"""The reserve clock: can the filter, at every age, still take the design spill?

The largest container of a substance breaks at the worst moment. Its pool is bounded by a tray and stays until it is
cleaned up. The room's air must stay below each vapour's limits over their own averaging times, and the cabinet's air
below a quarter of the lower flammable limit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from stillroom import emission
from stillroom.assessment.case import WATER, Case, Subject, concentration
from stillroom.assessment.checks.normal import crossing, dust_passed, dust_short_limit
from stillroom.assessment.numbers import ends
from stillroom.assessment.result import SpillResult
from stillroom.assessment.vapours import Vapours
from stillroom.cabinet import air, air_stopped, flammable_fraction
from stillroom.inventory.model import Container
from stillroom.room import worst_mean
from stillroom.room.balance import transient
from stillroom.sources import Missing, Sourced
from stillroom.units import GAS_CONSTANT, Quantity

__all__ = [
    "Bounds",
    "bounds_of",
    "cautious",
    "design_spill",
    "first_failure",
    "largest_container",
    "room_share",
    "tray_area",
]

Array = NDArray[np.float64]
_DAY = 86400.0
_SHORT, _SHIFT = 900.0, 28_800.0


class Bounds:
    """What the room's air may hold of one vapour [mol/m³]; infinite where no limit of that kind applies."""

    __slots__ = ("ceiling", "short", "twa")

    def __init__(self, *, twa: float, short: float, ceiling: float) -> None:
        self.twa, self.short, self.ceiling = twa, short, ceiling


def bounds_of(subject: Subject, case: Case) -> Bounds | None:
    """The limits that a spill is judged by; None where the substance has none.

    Notes
    -----
    Where no short-term limit is published, the 15-minute mean is held to `excursion_factor` times the 8-hour value
    (common practice, no source). Where only a ceiling is published it holds at once.
    """
    limits = subject.limits
    values = [
        None if limit is None else concentration(limit, subject, case.room)
        for limit in (limits.twa or subject.surrogate, limits.stel, limits.ceiling)
    ]
    twa, short, ceiling = values
    if twa is None and short is None and ceiling is None:
        return None
    if short is None and ceiling is None and twa is not None:
        short = case.room.rules.excursion_factor * twa
    return Bounds(twa=twa or np.inf, short=short or np.inf, ceiling=ceiling or np.inf)


def tray_area(case: Case) -> float:
    """Area that a pool is bounded to [m²]: the largest tray or shelf of the cabinet (cautious: any may hold it)."""
    return max(shelf.tray_area for compartment in case.cabinet.compartments for shelf in compartment.shelves)


def design_spill(
    subject: Subject,
    container: Container,
    case: Case,
    vapours: Vapours,
    inlet: Array,
    *,
    ages: Array,
    minutes: float,
    rng: np.random.Generator,
) -> SpillResult:
    """One container of `subject` broken on filters of every age.

    Parameters
    ----------
    subject : Subject
        The substance that the result is about.
    container : Container
        One of its containers.
    case : Case
    vapours : Vapours
        Drawn release, background and stack.
    inlet : ndarray, shape (n_v, size)
        Normal load of the filter [mol/m³].
    ages : ndarray, shape (n_a,)
        Ages of the filter [days].
    minutes : float
        From the break until it is cleaned up [min].
    rng : numpy.random.Generator

    Returns
    -------
    SpillResult
        With the first age at which it could not be borne.

    Notes
    -----
    Every vapour of the container counts, each against its own limits; the measure is their sum (29 CFR
    1910.1000(d)(2)), of short-term ratios and of 8-hour ratios apart. The pool evaporates into the cabinet's air,
    which slows it down, cools and weakens meanwhile (`emission.evaporated`); whether the cabinet's air burns is
    judged by the first moment; ventilation alone clears the room (the filter's cleaning of the room's air is not counted).
    """
    seconds, size = 60.0 * minutes, vapours.size
    spill = emission.spill(
        container,
        area=tray_area(case),
        temperature=case.room.temperature,
        pressure=case.room.pressure,
        air_speed=None,  # the room's own interval for the air over a shelf
        rng=rng,
        size=size,
    )
    names = [cas for cas in spill.cas if cas != WATER]
    rows = [spill.cas.index(cas) for cas in names]
    saturation = spill.saturation[rows][:, None]
    level = air(spill.rate[rows], flow=vapours.flow.cabinet, saturation=saturation)
    level = np.where(spill.rate[rows] > 0, level, 0.0)
    evaporated = emission.evaporated(spill, seconds=seconds, flow=vapours.flow.cabinet)[rows]
    mean_level = evaporated / (vapours.flow.cabinet * seconds)
    outlet = _outlet(names, mean_level, vapours, inlet, ages=ages, seconds=seconds)
    short, twa = _room_ratios(names, outlet, case, vapours, seconds=seconds)
    short_free, twa_free = _room_ratios(names, mean_level[None], case, vapours, seconds=seconds)
    short = short + _dust_ratio(spill, case, vapours, seconds=seconds)
    running = _flammable(names, level, case)
    stopped = _flammable(
        names,
        air_stopped(
            np.full(size, 60.0 * case.room.rules.acts_after_minutes),
            release=spill.rate[rows],
            volume=case.cabinet.air_volume,
            saturation=saturation,
            rng=rng,
            size=size,
        ),
        case,
        capped=evaporated_cap(spill.amount[rows], case.cabinet.air_volume),
    )
    notes = list(spill.notes)
    for part in (running, stopped):
        if isinstance(part, Missing) and part.reason not in notes:
            notes.append(part.reason)
    result = SpillResult(
        cas=subject.cas,
        container=container.key,
        minutes=minutes,
        evaporation=(evaporated * _molar_masses(names, case)[:, None]).sum(axis=0) / seconds,
        flammable=None if isinstance(running, Missing) else running,
        flammable_stopped=None if isinstance(stopped, Missing) else stopped,
        short=short,
        twa=twa,
        short_unfiltered=short_free[0],
        twa_unfiltered=twa_free[0],
        exhaust=_exhaust_ratio(names, outlet, case),
        days=np.zeros(size),
        notes=tuple(notes),
    )
    return replace(result, days=first_failure(result, ages, case))


def first_failure(result: SpillResult, ages: Array, case: Case) -> Array:
    """First age at which this spill could not be borne, (size,) [days]; 0 where never, infinity where always.

    Parameters
    ----------
    result : SpillResult
    ages : ndarray, shape (n_a,)
        [days]
    case : Case
    """
    days = np.minimum(crossing(ages, result.short, 1.0), crossing(ages, result.twa, 1.0))
    if case.room.rules.spill_criterion_too:
        days = np.minimum(days, crossing(ages, result.exhaust, 1.0))
    if result.flammable is not None:
        days = np.where(result.flammable > case.room.rules.lfl_fraction, 0.0, days)
    return days


def largest_container(
    subject: Subject,
    container: Container,
    case: Case,
    vapours: Vapours,
    inlet: Array,
    *,
    age: float,
    minutes: float,
    largest: float,
) -> float:
    """Largest container whose design spill is still borne at the cautious end after `age`, in m³ or kg.

    Parameters
    ----------
    subject, container, case, vapours :
        As in `design_spill`.
    inlet : ndarray, shape (n_v, size)
        What has loaded the filter until then [mol/m³].
    age : float
        Of the filter [days].
    minutes : float
        Clean-up time [min].
    largest : float
        Where the search ends, in the container's own measure [m³ or kg].

    Returns
    -------
    float
        0 where not even 10 mL (10 g) is borne.

    Notes
    -----
    Bisection in the logarithm, to 5 %: a larger container never gives a smaller pool or a shorter one.
    """
    measure = 1e-5 if container.amount.kind == "volume" else 1e-2

    def borne(value: float) -> bool:
        trial = replace(container, amount=Quantity(value, container.amount.kind), count=1)
        result = design_spill(
            subject,
            trial,
            case,
            vapours,
            inlet,
            ages=np.array([age]),
            minutes=minutes,
            rng=np.random.default_rng(case.seed + 11),
        )
        return cautious(result, case)

    if borne(largest):
        return largest
    if not borne(measure):
        return 0.0
    low, high = measure, largest
    while high / low > 1.05:
        middle = float(np.sqrt(low * high))
        low, high = (middle, high) if borne(middle) else (low, middle)
    return low


def cautious(result: SpillResult, case: Case, *, sure: bool = True) -> bool:
    """Whether 95 % of the draws bear this spill at the last of its ages; surely so, or in these draws only.

    Parameters
    ----------
    result : SpillResult
    case : Case
    sure : bool
        As in `numbers.ends`.
    """
    peak = ends(sure=sure)[1]
    if result.flammable is not None and peak(result.flammable) > case.room.rules.lfl_fraction:
        return False
    if case.room.rules.spill_criterion_too and peak(result.exhaust[-1]) > 1.0:
        return False
    return peak(result.short[-1]) <= 1.0 and peak(result.twa[-1]) <= 1.0


def evaporated_cap(amount: Array, volume: float) -> Array:
    """Concentration if all of it were in the cabinet's air, (n,) [mol/m³].

    Parameters
    ----------
    amount : ndarray, shape (n,)
        Of each vapour [mol].
    volume : float
        Of the cabinet's free air [m³].
    """
    return np.asarray(amount / volume)


def _outlet(
    names: list[str], level: Array, vapours: Vapours, inlet: Array, *, ages: Array, seconds: float
) -> Array:
    """Exhaust during the spill, its vapours only, (n_a, n, size) [mol/m³]."""
    spilled = np.zeros_like(inlet)
    places = [vapours.cas.index(cas) for cas in names]
    spilled[places] = level
    through = vapours.stack.spill_exhaust(ages * _DAY, inlet, spilled, seconds)
    return np.asarray(through.mean[:, places])


def _room_ratios(
    names: list[str], outlet: Array, case: Case, vapours: Vapours, *, seconds: float
) -> tuple[Array, Array]:
    """Sums over the spilled vapours of room air over short-term and 8-hour limits, (n_a, size) [-].

    What the room holds of them anyway is counted in; its other vapours are not the spill's, and are reported apart.
    """
    flow = vapours.flow
    by_cas = {subject.cas: subject for subject in case.subjects}
    short = np.zeros((outlet.shape[0], vapours.size))
    twa = np.zeros_like(short)
    for place, cas in enumerate(names):
        bounds = bounds_of(by_cas[cas], case)
        if bounds is None:
            continue  # the limit check has refused it, or it gives no vapour
        source = outlet[:, place] * flow.cabinet
        there = vapours.background[vapours.cas.index(cas)]
        volume, clean = flow.room_volume, flow.ventilation
        mean = worst_mean(_SHORT, release=source, duration=seconds, volume=volume, flow=clean)
        peak = transient(seconds, release=source, volume=volume, flow=clean)
        shift = worst_mean(_SHIFT, release=source, duration=seconds, volume=volume, flow=clean)
        short += np.maximum((there + mean) / bounds.short, (there + peak) / bounds.ceiling)
        twa += (there + shift) / bounds.twa
    return short, twa


def _exhaust_ratio(names: list[str], outlet: Array, case: Case) -> Array:
    """Sum over the vapours of the exhaust over the criterion of normal storage, (n_a, size) [-]."""
    by_cas = {subject.cas: subject for subject in case.subjects}
    total = np.zeros((outlet.shape[0], outlet.shape[2]))
    for place, cas in enumerate(names):
        limit = by_cas[cas].criterion
        allowed = None if limit is None else concentration(limit, by_cas[cas], case.room)
        if allowed is not None:
            total += outlet[:, place] / (allowed * case.room.rules.criterion_fraction)
    return total


def _dust_ratio(spill: emission.Spill, case: Case, vapours: Vapours, *, seconds: float) -> Array:
    """Dust of the break through the filter over its short-term limit, (size,) [-].

    It is in the air at once and leaves with the cabinet's air, so cleaning up does not shorten it.
    """
    total = np.zeros(vapours.size)
    if spill.dust is None:
        return total
    by_cas = {subject.cas: subject for subject in case.subjects}
    passed = dust_passed(case, vapours.size)
    flushed = min(case.cabinet.air_volume / vapours.flow.cabinet, seconds)
    for cas, dust in zip(spill.dust_cas, spill.dust, strict=True):
        allowed = dust_short_limit(by_cas.get(cas), excursion=case.room.rules.excursion_factor)
        level = worst_mean(
            _SHORT,
            release=dust / flushed * passed * 1e6,
            duration=flushed,
            volume=vapours.flow.room_volume,
            flow=vapours.flow.ventilation,
        )
        total += level / allowed
    return total


def room_share(subject: Subject, case: Case) -> float:
    """What the room's own air holds of the substance over the nearest of the limits that a spill is judged by [-].

    Parameters
    ----------
    subject : Subject
    case : Case
    """
    bounds, mass = bounds_of(subject, case), subject.properties.molar_mass
    if bounds is None or not isinstance(mass, Sourced):
        return 0.0
    grams = sum(entry.mg_m3 * 1e-3 for entry in case.room.backgrounds if entry.cas == subject.cas)
    return grams / mass.value / min(bounds.twa, bounds.short, bounds.ceiling)


def _flammable(names: list[str], level: Array, case: Case, *, capped: Array | None = None) -> Array | Missing:
    """Fraction of the lower flammable limit of air with `level` [mol/m³] of each vapour, (size,)."""
    air_density = case.room.pressure / (GAS_CONSTANT * case.room.temperature)
    by_cas = {subject.cas: subject for subject in case.subjects}
    if capped is not None:
        level = np.minimum(level, capped[:, None])
    limits: dict[str, float | Sourced | Missing] = {}
    for cas in names:
        subject = by_cas[cas]
        burns = subject.properties.lower_flammable_limit
        limits[cas] = burns if burns or subject.hazards.flammable_category else np.inf
    fractions: Mapping[str, Array] = {cas: level[place] / air_density for place, cas in enumerate(names)}
    total = flammable_fraction(fractions, limits)
    return total if isinstance(total, Missing) else np.broadcast_to(total, (level.shape[-1],))


def _molar_masses(names: list[str], case: Case) -> Array:
    """[kg/mol]; 0 where unknown, for the printed evaporation only."""
    by_cas = {subject.cas: subject for subject in case.subjects}
    masses = (by_cas[cas].properties.molar_mass for cas in names)
    return np.array([mass.value * 1e-3 if isinstance(mass, Sourced) else 0.0 for mass in masses])
