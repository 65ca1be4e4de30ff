"""Flammable quantities, and the cabinet's air when the fan stands still, over closed containers and over a spill."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stillroom.assessment.case import Case, Subject
from stillroom.assessment.numbers import cautious_peak, percent
from stillroom.assessment.result import Finding, SpillResult
from stillroom.assessment.vapours import Vapours
from stillroom.cabinet import air_stopped, flammable_fraction
from stillroom.room.model import SiteRules
from stillroom.sources import Missing, Sourced
from stillroom.substances.hazards import (
    FlammableLimit,
    flammable_limits,
    flammables_check,
    known_without_flash_point,
)
from stillroom.units import GAS_CONSTANT, show

__all__ = ["FLAMMABLE", "fan_stopped", "quantities", "spill_with_fan_stopped"]

Array = NDArray[np.float64]

FLAMMABLE = 1.0
"""Fraction of the lower flammable limit at which the cabinet's mean air burns [-]."""


def quantities(case: Case) -> Finding:
    """Flammable liquids against the site's rule, 29 CFR 1910.106(d)(3) unless the site has its own."""
    rules = case.room.rules
    rows = []
    for container in case.containers:
        if not container.known or container.amount.kind != "volume":
            continue
        litres = container.amount.value * 1000.0 * container.count
        first = container.components[0]
        rows.append((first.substance.cas, litres, first.mass_fraction))
    limits, sources = _site_rule(rules), ("user",)
    if not limits:
        limits, sources = flammable_limits(), ("osha-1910-106",)
    fits, words = flammables_check(rows, limits=limits)
    return Finding(
        "approved" if fits else "not approved", f"{words[:1].upper()}{words[1:]}.", sources=sources
    )


def _site_rule(rules: SiteRules) -> tuple[FlammableLimit, ...]:
    """The site's own quantities where it gives any."""
    given = (
        (("1",), rules.flammables_litre_category_1),
        (("1", "2", "3", "4"), rules.flammables_litre_total),
    )
    return tuple(
        FlammableLimit(categories, litres, f"{litres:g} L", "user", "the site's rule")
        for categories, litres in given
        if litres is not None
    )


def fan_stopped(case: Case, vapours: Vapours) -> Finding:
    """Closed containers for as long as the fan may stand still: the cabinet's air against the flammable limit."""
    rules = case.room.rules
    if rules.fan_stop_hours <= 0 or not vapours.cas:
        return Finding("approved", "No stop of the fan was asked about.")
    rng = np.random.default_rng(case.seed + 13)
    by_cas = {subject.cas: subject for subject in case.subjects}
    air_density = case.room.pressure / (GAS_CONSTANT * case.room.temperature)
    fractions: dict[str, Array] = {}
    limits: dict[str, float | Sourced | Missing] = {}
    for place, cas in enumerate(vapours.cas):
        subject = by_cas.get(cas)
        if subject is None:
            continue
        pressure = subject.properties.saturation_pressure
        ceiling = (
            pressure.value / case.room.pressure * air_density if isinstance(pressure, Sourced) else np.inf
        )
        level = air_stopped(
            np.full(vapours.size, rules.fan_stop_hours * 3600.0),
            release=vapours.emission[place],
            volume=case.cabinet.air_volume,
            saturation=ceiling,
            rng=np.random.default_rng(rng.integers(2**63)),
            size=vapours.size,
        )
        fractions[cas] = level / air_density
        burns = subject.properties.lower_flammable_limit
        limits[cas] = burns if burns or subject.hazards.flammable_category else np.inf
    total = flammable_fraction(fractions, limits)
    hours = f"{rules.fan_stop_hours:g} h"
    if isinstance(total, Missing):
        return Finding("cannot tell", f"Fan stopped for {hours}, containers closed: {total.reason}.")
    peak = cautious_peak(np.broadcast_to(total, (vapours.size,)))
    words = f"Fan stopped for {hours}, containers closed: the cabinet's air reaches {show(100 * peak)} % of the lower flammable limit"
    if peak > rules.lfl_fraction:
        return Finding(
            "not approved", f"{words}, more than {100 * rules.lfl_fraction:g} % (95 % of the draws)."
        )
    return Finding("approved", f"{words} (95 % of the draws stay below).")


def spill_with_fan_stopped(subject: Subject, result: SpillResult, case: Case) -> tuple[str, str]:
    """Words, and the condition where one binds, for a break of a container while the fan stands still.

    Parameters
    ----------
    subject : Subject
    result : SpillResult
        Its design spill.
    case : Case

    Notes
    -----
    The condition binds where the cabinet's mean air would burn before somebody acts
    (`SiteRules.acts_after_minutes`), at the cautious end. It is a rule of the fraction alone, so that a liquid that
    comes nearer to its limit never gets the milder answer. Flash point and category need not be asked: air
    saturated over a liquid below its flash point is leaner than its lower flammable limit, so no liquid of
    category 3 or 4 in a cooler room reaches it, and a category 1 liquid always does. What is known to have no flash
    point is no flammable liquid (29 CFR 1910.106(a)(19)) and is not asked about.
    """
    if result.flammable_stopped is None:
        return "", ""
    reached = cautious_peak(result.flammable_stopped)
    if reached <= case.room.rules.lfl_fraction or _cannot_flash(result, case):
        return "", ""
    words = (
        f"If the fan stood still, it could be {percent(reached)} before somebody acts, after "
        f"{show(case.room.rules.acts_after_minutes)} min"
    )
    if reached <= FLAMMABLE:
        return f"{words}: then nothing is opened or moved.", ""
    condition = (
        f"{subject.substance.name}: a stopped fan raises an alarm; no ignition source is in the cabinet or within reach "
        "of its vapour."
    )
    return f"{words}: it would burn.", condition


def _cannot_flash(result: SpillResult, case: Case) -> bool:
    """Whether every part of the broken container is known to have no flash point."""
    container = next(item for item in case.containers if item.key == result.container)
    return all(known_without_flash_point(part.substance.cas) for part in container.components)
