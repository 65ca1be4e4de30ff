"""Which design spill is borne, with which clean-up time, and until which age of the filter."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from stillroom.assessment.case import Case, Subject
from stillroom.assessment.checks.fire import spill_with_fan_stopped
from stillroom.assessment.checks.normal import NO_BED
from stillroom.assessment.checks.spill import cautious, design_spill, room_share
from stillroom.assessment.numbers import SHORTEST_LIFE_DAYS, cautious_days, cautious_peak, ends, percent
from stillroom.assessment.result import Clock, Finding, SpillResult
from stillroom.assessment.vapours import Vapours
from stillroom.inventory.model import Container

__all__ = [
    "CLEANUP_MINUTES",
    "borne_days",
    "largest_of",
    "reserve_clock",
    "spill_finding",
    "spill_needs_filter",
    "spill_of",
]

Array = NDArray[np.float64]

CLEANUP_MINUTES = (10.0, 5.0)
"""Shorter clean-up times that are tried where the site's own is not short enough [min]: what a trained person with a
spill kit at hand can be asked for (common practice, no source)."""


def largest_of(subject: Subject) -> Container | None:
    """The container whose break is the design spill: the one with most of the substance in it."""
    candidates = [
        item for item in subject.containers if item.closure != "sealed ampoule" or item.amount.value > 0
    ]
    if not candidates:
        return None

    def weight(item: Container) -> float:
        share = next(part.mass_fraction for part in item.components if part.substance.cas == subject.cas)
        mass = item.amount.value * (1000.0 if item.amount.kind == "volume" else 1.0)
        return mass * (1.0 if share is None else share)

    return max(candidates, key=weight)


def spill_of(subject: Subject, case: Case, vapours: Vapours, inlet: Array, ages: Array) -> SpillResult | None:
    """The design spill of a subject at the longest clean-up time that is borne.

    Where none is borne by a filter of the age that the site plans with, at the one that is borne longest, if
    that is worth a filter (`borne_days`); else at the site's own.

    Parameters
    ----------
    subject, case, vapours :
        As in `spill.design_spill`.
    inlet : ndarray, shape (n_v, size)
        What has loaded the filter until then [mol/m³].
    ages : ndarray, shape (n_a,)
        From new to the required interval [days].
    """
    container = largest_of(subject)
    if container is None:
        return None
    site = case.room.rules.cleanup_minutes

    def broken(minutes: float, ages: Array) -> SpillResult:
        rng = np.random.default_rng(case.seed + 11)
        return design_spill(subject, container, case, vapours, inlet, ages=ages, minutes=minutes, rng=rng)

    tried = []
    for minutes in (site, *(shorter for shorter in CLEANUP_MINUTES if shorter < site)):
        result = broken(minutes, ages)
        if cautious(result, case):
            return result
        tried.append(result if borne_days(result, case) is None else broken(minutes, _closer(result, ages)))
    best = max(tried, key=lambda result: borne_days(result, case) or 0.0)
    refused = borne_days(best, case) is None
    edge = refused and any(borne_days(result, case, sure=False) is not None for result in tried)
    return replace(best, on_an_edge=edge)


def _closer(result: SpillResult, ages: Array) -> Array:
    """`ages` with more of them where the filter ceases to take the spill at the cautious end [days]."""
    worst = np.array([cautious_peak(row) for row in np.maximum(result.short, result.twa)])
    past = int(np.argmax(worst > 1.0))
    return np.union1d(ages, np.linspace(ages[max(past - 1, 0)], ages[past], 8))


def borne_days(result: SpillResult, case: Case, *, sure: bool = True) -> float | None:
    """Until which age a filter takes this spill at the cautious end [days]: the planned interval or less; None where
    that is no basis for approval.

    Parameters
    ----------
    result : SpillResult
    case : Case
    sure : bool
        As in `numbers.ends`.
    """
    planned = case.room.rules.required_interval_days
    if cautious(result, case, sure=sure):
        return planned
    days = ends(sure=sure)[0](result.days)
    return days if SHORTEST_LIFE_DAYS <= days < planned else None


def spill_needs_filter(result: SpillResult) -> bool:
    """Whether the room would pass a limit if the filter held nothing, at the cautious end."""
    return bool(cautious_peak(result.short_unfiltered) > 1.0 or cautious_peak(result.twa_unfiltered) > 1.0)


def spill_finding(subject: Subject, result: SpillResult, case: Case) -> Finding:
    """The words for one design spill, with the condition under which it is borne."""
    rules = case.room.rules
    short, twa = (cautious_peak(values[-1]) for values in (result.short, result.twa))
    days = case.room.rules.required_interval_days
    what = (
        f"Design spill, cleaned up within {result.minutes:g} min, filter {days:g} days old, cautious end: room {percent(short)} of the "
        f"short-term and {percent(twa)} of the 8-hour limit"
    )
    if result.flammable is not None:
        burning = cautious_peak(result.flammable)
        if burning > 1e-5:
            what += f"; cabinet's air {percent(burning)} of the lower flammable limit"
    what += "."
    own = room_share(subject, case)
    if own >= 0.005:
        what += (
            f" The room's own {subject.substance.name}, {percent(own)} of its nearest limit, is counted in."
        )
    if not case.cabinet.filters.beds and not subject.involatile:
        what += f" {NO_BED}"
    if result.flammable is None:
        why = next(
            (note for note in result.notes if "flammable limit" in note),
            "its lower flammable limit is not known",
        )
        return Finding("cannot tell", f"{what} Whether the cabinet's air could burn cannot be told: {why}.")
    if rules.spill_criterion_too:
        exhaust = cautious_peak(result.exhaust[-1])
        what += (
            f" The exhaust reaches {percent(exhaust)} of the criterion that the site asks for in a spill too."
        )
    borne = borne_days(result, case)
    if borne is None:
        shorter = min((rules.cleanup_minutes, *CLEANUP_MINUTES))
        what += f" That is too much, and cleaning up within {shorter:g} min would not mend it."
        new = cautious_days(result.days)
        if new >= 1.0:
            what += f" Only a filter of up to {int(new)} days would take it: more carbon or a cleaner room would mend it."
        if case.cabinet.filters.served:
            what += " What the filter in place has served before counts in this: a new one may bear it."
        return Finding("not approved", what)
    conditions = []
    if borne < days:
        what += f" That is too much at that age: a filter of up to {int(borne)} days takes it."
    name = subject.substance.name
    if result.minutes < rules.cleanup_minutes:
        conditions.append(
            f"{name}: a spill is taken up within {result.minutes:g} minutes; a kit hangs beside the cabinet and people "
            "are trained."
        )
    words, fire_condition = spill_with_fan_stopped(subject, result, case)
    what = f"{what} {words}".rstrip()
    conditions.extend([fire_condition] if fire_condition else [])
    condition = " ".join(conditions)
    return Finding("approved with conditions" if condition else "approved", what, condition=condition)


def reserve_clock(spills: list[SpillResult], size: int) -> Clock:
    """The reserve clock: that of the design spill which ends first at the cautious end.

    Only one container breaks at a time, so the spills are not added up.

    Parameters
    ----------
    spills : list of SpillResult
    size : int
        Draws [-].
    """
    if not spills:
        return Clock("reserve", np.full(size, np.inf), "", "No design spill calls on the filter.")
    governing = min(spills, key=lambda result: cautious_days(result.days))
    if not np.isfinite(cautious_days(governing.days)):
        words = "At every age that was looked at the filter can take each design spill."
        return Clock("reserve", governing.days, "", words)
    return Clock(
        "reserve",
        governing.days,
        governing.cas,
        "After this time the filter may no longer take the design spill of the substance named.",
    )
