"""What the air holds where an instrument can be put: in the cabinet, between the beds, in the exhaust, in the room."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stillroom import bed
from stillroom.assessment.case import Case
from stillroom.assessment.checks.normal import settle_feedback
from stillroom.assessment.vapours import Vapours, release
from stillroom.media.model import FilterStack
from stillroom.units import GAS_CONSTANT

__all__ = ["PointAir", "at_points", "behind_bed", "drawn_again", "less_carbon", "more_bypass"]

Array = NDArray[np.float64]
_DAY = 86400.0


@dataclass(frozen=True, slots=True, eq=False)
class PointAir:
    """Each vapour at each sampling point and age of the filter; arrays are (n_t, n_v, size) [ppm]."""

    cas: tuple[str, ...]
    total: dict[str, Array]
    """point → what the air holds there; without "between beds" where the stack has one bed"""
    stored: dict[str, Array]
    """the part of it that the containers gave off"""


def drawn_again(case: Case) -> tuple[Vapours, Array]:
    """The draws that an assessment of `case` made: vapours with their stack, and the normal inlet [mol/m³].

    Parameters
    ----------
    case : Case
        `Assessment.staying`: the same seed and draws give the same numbers, draw by draw.
    """
    vapours = release(case, np.random.default_rng(case.seed))
    return vapours, settle_feedback(vapours, until_days=case.cabinet.max_age_days)


def behind_bed(stack: bed.Stack, filters: FilterStack, number: int) -> bed.Stack | None:
    """The part of a stack up to behind bed `number`, sampled in the stream: no by-pass of the seals reaches it.

    Parameters
    ----------
    stack : bed.Stack
        As drawn from `filters`.
    filters : FilterStack
        Gives the masses.
    number : int
        Of the bed, from 1 [-].

    Returns
    -------
    bed.Stack or None
        None where no further bed stands behind it.

    Notes
    -----
    Neighbouring beds of one medium were drawn as one layer; it is cut by mass, which a rectangular front allows
    exactly (`bed.closed_form`).
    """
    masses = [item.mass for item in filters.beds if item.mass > 0.0]
    if not 1 <= number < len(masses):
        return None
    left, front = sum(masses[:number]), []
    for layer in stack.layers:
        if left <= 0.0:
            break
        front.append(replace(layer, mass=min(layer.mass, left)))
        left -= layer.mass
    return replace(stack, layers=tuple(front), bypass=np.zeros_like(stack.bypass))


def more_bypass(vapours: Vapours, bypass: Array) -> Vapours:
    """The same draws with another share of the air going round the beds.

    Parameters
    ----------
    vapours : Vapours
    bypass : ndarray, shape (size,)
        Share of the flow [-], under one.
    """
    old = vapours.stack
    whole = old.air.flow / (1.0 - old.bypass)
    air = replace(old.air, flow=whole * (1.0 - bypass))
    return replace(vapours, stack=replace(old, bypass=bypass, air=air))


def less_carbon(vapours: Vapours, share: float) -> Vapours:
    """The same draws with only a share of the carbon at work (channels, wet, or spent before).

    Parameters
    ----------
    vapours : Vapours
    share : float
        Of the mass of every layer [-].
    """
    layers = tuple(replace(layer, mass=layer.mass * share) for layer in vapours.stack.layers)
    return replace(vapours, stack=replace(vapours.stack, layers=layers))


def at_points(case: Case, vapours: Vapours, inlet: Array, days: Array, *, bed_number: int = 1) -> PointAir:
    """What each sampling point holds in normal storage, in every draw.

    Parameters
    ----------
    case : Case
    vapours : Vapours
    inlet : ndarray, shape (n_v, size)
        What has loaded the filter [mol/m³].
    days : ndarray, shape (n_t,)
        Ages of the filter [days].
    bed_number : int
        Behind which bed “between beds” is [-].

    Notes
    -----
    Exhaust = P c_in, with c_in and the room's share as in `Vapours.stored_inlet`. Validity: as
    `bed.Stack.exhaust`: steady release, doors shut, no roll-up.
    """
    penetration = _ratio(vapours.stack.exhaust(days * _DAY, inlet), inlet)
    stored = vapours.stored_inlet(penetration)
    background = np.broadcast_to(vapours.background, stored.shape)
    released = vapours.emission / vapours.flow.cabinet
    parts = {
        "cabinet": (np.ones_like(penetration), stored),
        "exhaust": (penetration, stored),
        "room": (np.ones_like(penetration), stored - released),
    }
    front = behind_bed(vapours.stack, case.cabinet.filters, bed_number)
    if front is not None:
        parts["between beds"] = (_ratio(front.exhaust(days * _DAY, inlet), inlet), stored)
    ppm = GAS_CONSTANT * case.room.temperature / case.room.pressure * 1e6
    return PointAir(
        cas=vapours.cas,
        total={point: ppm * through * (own + background) for point, (through, own) in parts.items()},
        stored={point: ppm * through * own for point, (through, own) in parts.items()},
    )


def _ratio(outlet: Array, inlet: Array) -> Array:
    return np.asarray(np.where(inlet > 0.0, outlet / np.where(inlet > 0.0, inlet, 1.0), 0.0))
