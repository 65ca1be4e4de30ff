"""What is asked of the march and what it writes: outlets at given times and first times of given outlets. Compiled."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from stillroom.media.kernels import kernel

__all__ = ["Answer", "Course", "Matter", "Rule", "arrive", "report"]

Array = NDArray[np.float64]

_PARTS = 8  # of a step, in which a first time is looked for
_TRACED = 4  # points of a step that a trace keeps


class Course(NamedTuple):
    """What is fed to the bed, piece by piece; the last axis of all but `state` and `time` may have one draw."""

    time: Array
    """(pieces + 1,), where each begins, and the end [s]"""
    inlet: Array
    """(draws, pieces, vapours) [mol/m³]"""
    velocity: Array
    """(draws, pieces) [m/s]"""
    thermal: Array
    """(pieces,), RT [J/mol]"""
    state: NDArray[np.int64]
    """(pieces,), which laws and rates hold"""


class Matter(NamedTuple):
    """The layers; draws first (one serves all), then the state of the air."""

    layer: NDArray[np.int64]
    """(cells,)"""
    depth: Array
    """(cells,) [m]"""
    mass: Array
    """(draws, cells) [kg/m²]"""
    rates: Array
    """(draws, states, layers, vapours) [1/s]"""
    stock: Array
    """(draws, states, layers, vapours) [mol/kg]"""
    family: NDArray[np.int64]
    """(vapours,)"""
    kind: NDArray[np.int64]
    """(states, layers)"""
    crowd: Array
    over: Array
    """(draws, states, layers, vapours)"""
    grid: Array
    values: Array
    """(draws, states, layers, vapours, …)"""


class Rule(NamedTuple):
    """How carefully."""

    tolerance: float
    """of one step, as a share of the inlet and of the loading"""
    longest: float
    """step [s]"""
    most: int
    """steps"""


class Answer(NamedTuple):
    """What is found; written."""

    loading: Array
    """(draws, cells, vapours), in: at the start; out: at the end [mol/kg]"""
    time: Array
    """(times,), rising, in: where outlets are asked [s]"""
    outlet: Array
    """(draws, times, vapours) [mol/m³]"""
    level: Array
    """(draws, vapours, levels), in: outlets whose first time is asked [mol/m³]"""
    reached: Array
    """(draws, vapours, levels), those times, nan where never [s]"""
    fed: Array
    left: Array
    """(draws, vapours) [mol/m²]"""
    trace: Array
    """(draws, rows, 1 + vapours), time and outlets as the steps come, as many as there is room for"""
    steps: NDArray[np.int64]
    """(draws, 4), taken, refused, and how many rows of `outlet` and of `trace` are written"""


@kernel
def _curve(t: float, a: float, b: float, da: float, db: float) -> float:
    """The cubic through two ends with slopes (per step), t from 0 to 1; not under zero, and no wild one: a step over
    something much faster than itself has slopes that tell nothing of its inside."""
    r = 1.0 - t
    most = 3.0 * abs(b - a) + 0.1 * max(a, b)
    da, db = min(max(da, -most), most), min(max(db, -most), most)
    return max(r * r * ((1.0 + 2.0 * t) * a + t * da) + t * t * ((1.0 + 2.0 * r) * b - r * db), 0.0)


@kernel
def _crossing(level: float, a: float, b: float, da: float, db: float) -> float:
    """Where in the step, 0 to 1, the curve first reaches the level; nan where it does not."""
    low = 0.0
    for k in range(1, _PARTS + 1):
        high = k / _PARTS
        if _curve(high, a, b, da, db) >= level:
            for _ in range(50):
                middle = 0.5 * (low + high)
                if _curve(middle, a, b, da, db) >= level:
                    high = middle
                else:
                    low = middle
            return high
        low = high
    return math.nan


@kernel
def report(
    answer: Answer, draw: int, begin: float, step: float, old: Array, rise: Array, new: Array, climb: Array
) -> None:
    """Outlets and first times between `begin` (not with it) and the step's end.

    Parameters
    ----------
    answer : Answer
        Written.
    draw : int
        Which [-].
    begin, step : float64
        The step [s].
    old, rise, new, climb : float64, shape (vapours,)
        Outlets at its ends and how fast they rise there [mol/m³], [mol/(m³ s)].
    """
    n = old.shape[0]
    k = answer.steps[draw, 2]
    while k < answer.time.shape[0] and answer.time[k] <= begin + step:
        t = (answer.time[k] - begin) / step
        for i in range(n):
            answer.outlet[draw, k, i] = _curve(t, old[i], new[i], rise[i] * step, climb[i] * step)
        k += 1
    answer.steps[draw, 2] = k
    row = answer.steps[draw, 3]
    for part in range(1, _TRACED + 1):
        if row < answer.trace.shape[1]:
            t = part / _TRACED
            answer.trace[draw, row, 0] = begin + t * step
            for i in range(n):
                answer.trace[draw, row, 1 + i] = _curve(t, old[i], new[i], rise[i] * step, climb[i] * step)
            row += 1
    answer.steps[draw, 3] = row
    for i in range(n):
        for k in range(answer.level.shape[2]):
            if math.isnan(answer.reached[draw, i, k]):
                t = _crossing(answer.level[draw, i, k], old[i], new[i], rise[i] * step, climb[i] * step)
                answer.reached[draw, i, k] = begin + t * step


@kernel
def arrive(answer: Answer, draw: int, time: float, outlet: Array) -> None:
    """Where a piece begins: levels that the outlet has at once, and outlets asked no later.

    Parameters
    ----------
    answer : Answer
        Written.
    draw : int
        Which [-].
    time : float64
        [s]
    outlet : float64, shape (vapours,)
        [mol/m³]
    """
    for i in range(outlet.shape[0]):
        for k in range(answer.level.shape[2]):
            if math.isnan(answer.reached[draw, i, k]) and outlet[i] >= answer.level[draw, i, k]:
                answer.reached[draw, i, k] = time
    k = answer.steps[draw, 2]
    while k < answer.time.shape[0] and answer.time[k] <= time:
        for i in range(outlet.shape[0]):
            answer.outlet[draw, k, i] = outlet[i]
        k += 1
    answer.steps[draw, 2] = k
