"""What the room's own vapours do to the filter: how much they bring, how much of it stays, and when they come through."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stillroom.assessment.case import Case
from stillroom.assessment.numbers import quantile
from stillroom.assessment.result import Finding, RoomLoad, SpillResult
from stillroom.assessment.vapours import Vapours
from stillroom.substances import name_of
from stillroom.units import show

__all__ = ["load_of_room", "load_words", "polluted", "when_through"]

Array = NDArray[np.float64]
_DAY, _YEAR = 86400.0, 365.0 * 86400.0
_FILLS = 0.01
"""What the carbon holds of one vapour, over its own mass, from which on it matters to a spill [g/g] (own choice)."""
_EARLY = 0.5
"""Share of the filter's interval: ordinary air, 0.3 mg/m³, takes longer to come through 8 kg at 200 m³/h [-] (own choice)."""


def load_of_room(case: Case, vapours: Vapours, inlet: Array) -> tuple[RoomLoad, ...]:
    """Each vapour of the room's own at the filter, the one of which most stays on it first.

    Parameters
    ----------
    case : Case
    vapours : Vapours
    inlet : ndarray, shape (n_v, size)
        Normal load of the filter [mol/m³].

    Notes
    -----
    Of a vapour that is also stored, the room's part is that of the inlet.
    """
    mass = vapours.stack.arrays.molar_mass
    own = np.where(inlet > 0, vapours.background / np.where(inlet > 0, inlet, 1.0), 0.0)
    held = vapours.stack.held(np.array([case.cabinet.max_age_days * _DAY]), inlet)[0] * mass
    through = vapours.stack.time_to(case.room.rules.saturation_fraction, inlet) / _DAY
    all_held = np.maximum(held.sum(axis=0), 1e-30)
    loads = [
        RoomLoad(
            cas=cas,
            name=_name(cas, case),
            grams_a_year=vapours.background[place] * vapours.flow.cabinet * _YEAR * mass[place],
            held=own[place] * held[place],
            share=own[place] * held[place] / all_held,
            through=through[place],
        )
        for place, cas in enumerate(vapours.cas)
        if vapours.background[place].max() > 0
    ]
    return tuple(sorted(loads, key=lambda load: -float(np.median(load.held))))


def load_words(loads: tuple[RoomLoad, ...], case: Case) -> tuple[str, ...]:
    """What the record says of it.

    Parameters
    ----------
    loads : tuple of RoomLoad
        As `load_of_room` gives them.
    case : Case
    """
    if not loads:
        return ()
    brought = "; ".join(f"{load.name} {_grams(load.grams_a_year)} a year" for load in loads)
    share = _range(100 * np.sum([load.share for load in loads], axis=0))
    first = loads[0]
    words = [
        f"The room's own vapours load the filter: {brought}. After {case.cabinet.max_age_days:g} days {share} % of all that it holds "
        f"is theirs, most of it {first.name}, {_grams(first.held)}, which comes through {when_through(first, case)}.",
        "When the room's air is cleaner than stated, the filter gives part of that back, at the same warmth at no more than the "
        "concentration that loaded it. What a spill would push off the carbon is not counted.",
    ]
    return tuple(words)


def polluted(loads: tuple[RoomLoad, ...], spills: list[SpillResult], case: Case) -> Finding | None:
    """The finding where a vapour of the room's own that fills the filter is through early and spills call on the filter.

    Parameters
    ----------
    loads : tuple of RoomLoad
        As `load_of_room` gives them.
    spills : list of SpillResult
        Those that call on the filter.
    case : Case

    Notes
    -----
    No clock: the reserve clock has counted the load at every age. From then on nothing behind the front catches what
    a spill pushes off, and only inlet and exhaust together tell how full the filter is. See
    docs/decisions/0016-a-polluted-room.md.
    """
    early = _EARLY * min(case.room.rules.required_interval_days, case.cabinet.max_age_days)
    much = _FILLS * 1e3 * sum(bed.mass for bed in case.cabinet.filters.beds)
    found = [
        load for load in loads if float(np.median(load.held)) >= much and quantile(load.through, 0.5) < early
    ]
    if not found or not spills:
        return None
    first = found[0]
    return Finding(
        "approved with conditions",
        f"The room loads this filter: its {first.name} is expected through {when_through(first, case)}, while spills still count on the carbon.",
        condition=f"The room loads the filter: visits measure the room's {first.name}, or all organic vapours, before the filter and "
        "behind it, and a room that grows dirtier than stated is validated again.",
    )


def _name(cas: str, case: Case) -> str:
    for subject in case.subjects:
        if subject.cas == cas:
            return subject.substance.name
    return name_of(cas)


def _grams(values: Array) -> str:
    low, middle, high = np.quantile(values, [0.05, 0.5, 0.95])
    return f"{show(middle)} g ({show(low)}–{show(high)})"


def _range(values: Array) -> str:
    low, high = np.quantile(values, [0.05, 0.95])
    return f"{show(low)} to {show(high)}"


def when_through(load: RoomLoad, case: Case) -> str:
    """Words for the time at which it comes through; beyond the age clock nobody waits for it.

    Parameters
    ----------
    load : RoomLoad
    case : Case
    """
    low, high = (quantile(load.through, share) for share in (0.05, 0.95))
    age = case.cabinet.max_age_days
    if low >= age:
        return f"later than {age:g} days"
    if high >= age:
        return f"after {low:.0f} days at the earliest (5 % of the draws)"
    return f"after {low:.0f} to {high:.0f} days"
