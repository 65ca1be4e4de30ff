"""Where a loose cap would use the filter up: how tight the closed bottles must be, as a loss that a balance shows."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from stillroom.assessment.case import Case, Subject
from stillroom.assessment.result import Finding
from stillroom.assessment.vapours import Vapours
from stillroom.sources import Sourced

__all__ = ["SMALLEST_LOSS_G", "tight_enough", "weighed_condition"]

SMALLEST_LOSS_G = 0.2
"""Loss in a week below which a bottle's weighing cannot be trusted [g]: twice the last digit of a balance that carries
several kilograms (common practice, no source)."""
_SHARES = (0.95, 0.9, 0.75, 0.5, 0.25)
"""Share of the draws that are at least so tight [-]; what fewer than a quarter of such closures keep is a hope, not a condition."""
_WEEK = 7 * 86400.0


def tight_enough(
    cas: str,
    case: Case,
    vapours: Vapours,
    lasts: Callable[[Case, float], bool],
    *,
    targets: tuple[float, ...],
) -> Case | None:
    """The case with the closed bottles of one substance held to a loss, so that the filter lasts; None where none helps.

    Parameters
    ----------
    cas : str
        The substance whose release uses the filter up.
    case : Case
    vapours : Vapours
        As drawn without that loss.
    lasts : callable
        Of a case and a time [days]: whether the filter lasts it at the cautious end.
    targets : tuple of float
        Cautious lives to reach, the wanted one first [days].

    Notes
    -----
    Each draw's release through closures, breathing and walls is cut at the loss; openings are as before. Cutting, not
    sorting out, is cautious: every draw above it stands at the loss itself.
    """
    place = vapours.cas.index(cas) if cas in vapours.cas else None
    subject = next((item for item in case.subjects if item.cas == cas), None)
    if place is None or subject is None or not isinstance(subject.properties.molar_mass, Sourced):
        return None
    mass = subject.properties.molar_mass.value
    weeks = [
        _round_down(float(np.quantile(vapours.closed[place], share)) * mass * _WEEK) for share in _SHARES
    ]
    tried = [
        replace(case, weighed={**case.weighed, cas: week / mass / _WEEK})
        for week in weeks
        if week >= SMALLEST_LOSS_G
    ]
    for target in targets:
        if tried and lasts(tried[-1], target):  # where the tightest does not, no looser one does
            return next((one for one in tried[:-1] if lasts(one, target)), tried[-1])
    return None


def _round_down(value: float) -> float:
    """Two digits, downward [as given]."""
    if value <= 0.0:
        return 0.0
    digit = 10.0 ** (math.floor(math.log10(value)) - 1)
    return math.floor(value / digit + 1e-9) * digit


def weighed_condition(subject: Subject, case: Case, *, days: float) -> Finding:
    """What is asked of the bottles, in grams a week.

    Parameters
    ----------
    subject : Subject
    case : Case
        With the loss that its bottles are held to.
    days : float
        How long the filter would last with the loosest closures of that kind [days].
    """
    mass = subject.properties.molar_mass
    assert isinstance(mass, Sourced)
    week = case.weighed[subject.cas] * mass.value * _WEEK
    several = sum(item.count for item in subject.containers) > 1
    bottles, they = (
        ("all its bottles together lose", "they stay") if several else ("its bottle loses", "it stays")
    )
    return Finding(
        "approved with conditions",
        f"With caps as loose as they may be, the filter would last {int(days)} days at the cautious end. It is assessed with bottles "
        "that are shown to be tight.",
        condition=(
            f"{subject.substance.name}: weighed closed and again after a week, {bottles} no more than {week:.2g} g; "
            f"else {they} out. Weighed before the first storing, for each new bottle, and at each visit."
        ),
    )
