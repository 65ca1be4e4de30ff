"""Through time: steps as long as the error allows, outlets at the times asked, breakthroughs, what came and went."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from stillroom.bed.transport.laws import Laws
from stillroom.bed.transport.sweep import GUESS, Cells, U, Work, factor, look, stage, weights
from stillroom.media.kernels import kernel

__all__ = ["Answer", "Course", "Rule", "draws"]

Array = NDArray[np.float64]


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
    """(layers,), of one cell [m]"""
    mass: Array
    """(draws, layers), of one cell [kg/m²]"""
    rates: Array
    """(draws, states, layers, vapours) [1/s]"""
    kind: NDArray[np.int64]
    """(states, layers)"""
    limit: Array
    affinity: Array
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
    steps: NDArray[np.int64]
    """(draws, 3), taken, refused, and how many outlets are written"""


@kernel
def _curve(t: float, a: float, b: float, da: float, db: float) -> float:
    """The cubic through two ends with slopes (per step), t from 0 to 1; not under zero."""
    r = 1.0 - t
    return max(r * r * ((1.0 + 2.0 * t) * a + t * da) + t * t * ((1.0 + 2.0 * r) * b - r * db), 0.0)


@kernel
def _crossing(level: float, a: float, b: float, da: float, db: float) -> float:
    """Where in the step, 0 to 1, the curve first reaches the level; nan where it does not."""
    parts = 8
    low = 0.0
    for k in range(1, parts + 1):
        high = k / parts
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
def _report(
    answer: Answer, draw: int, begin: float, step: float, old: Array, rise: Array, new: Array, climb: Array
) -> None:
    """Outlets and first times between `begin` (not with it) and the step's end."""
    n = old.shape[0]
    k = answer.steps[draw, 2]
    while k < answer.time.shape[0] and answer.time[k] <= begin + step:
        t = (answer.time[k] - begin) / step
        for i in range(n):
            answer.outlet[draw, k, i] = _curve(t, old[i], new[i], rise[i] * step, climb[i] * step)
        k += 1
    answer.steps[draw, 2] = k
    for i in range(n):
        for k in range(answer.level.shape[2]):
            if math.isnan(answer.reached[draw, i, k]):
                t = _crossing(answer.level[draw, i, k], old[i], new[i], rise[i] * step, climb[i] * step)
                answer.reached[draw, i, k] = begin + t * step


@kernel
def _error(cell: Array, q: Array, rule: Rule, held: Array) -> float:
    """Of the step, over the tolerance: each vapour's root mean square along the bed, by the most that a cell holds."""
    worst = 0.0
    for i in range(q.shape[1]):
        total = 0.0
        for j in range(q.shape[0]):
            total += cell[j, U + 3, i] ** 2
        worst = max(worst, total / q.shape[0] / (held[i] * rule.tolerance) ** 2)
    return math.sqrt(worst)


@kernel
def _take(q: Array, work: Work, cells: Cells, held: Array, left: Array) -> None:
    """The step's end. What a cell would lack below zero is taken from what goes on to the cells after it."""
    for i in range(q.shape[1]):
        lack = 0.0
        for j in range(q.shape[0]):
            mass, cell = cells.mass[cells.layer[j]], work.cell[j]
            new = q[j, i] + 2.0 * cell[U, i] + cell[U + 2, i] + cell[U + 3, i] + lack / mass
            lack = min(new, 0.0) * mass
            q[j, i] = max(new, 0.0)
            held[i] = max(held[i], q[j, i])
        left[i] += 2.0 * work.left[0, i] + work.left[2, i] + work.left[3, i] + lack


@kernel
def _piece(
    laws: Laws, cells: Cells, inlet: Array, begin: float, end: float, first: float,
    rule: Rule, held: Array, answer: Answer, draw: int, work: Work,
) -> float:  # fmt: skip
    """From one change of the inlet to the next; gives the last step, or nan where it fails."""
    q = answer.loading[draw]
    n = q.shape[1]
    old, rise, new, climb = np.empty(n), np.empty(n), np.empty(n), np.empty(n)
    look(laws, cells, q, inlet, work, old, rise)
    for i in range(n):
        for k in range(answer.level.shape[2]):
            if math.isnan(answer.reached[draw, i, k]) and old[i] >= answer.level[draw, i, k]:
                answer.reached[draw, i, k] = begin
    if answer.steps[draw, 2] == 0:
        for i in range(n):
            answer.outlet[draw, 0, i] = old[i]
        answer.steps[draw, 2] = 1
    time, wanted = begin, first
    while time < end:
        rest = end - time
        step = min(wanted, rule.longest, rest)
        if step > 0.5 * rest and step < rest:
            step = 0.5 * rest
        last = step == rest
        factor(cells, step, work)
        for number in range(4):
            stage(laws, cells, q, inlet, step, number, work)
        error = _error(work.cell, q, rule, held)
        if not error <= 1.0:
            answer.steps[draw, 1] += 1
            wanted = step * (max(0.2, 0.9 * error ** (-1.0 / 3.0)) if math.isfinite(error) else 0.1)
            if answer.steps[draw, 0] + answer.steps[draw, 1] > rule.most or time + wanted == time:
                return math.nan
            continue
        _take(q, work, cells, held, answer.left[draw])
        look(laws, cells, q, inlet, work, new, climb)
        _report(answer, draw, time, step, old, rise, new, climb)
        for i in range(n):
            old[i], rise[i] = new[i], climb[i]
            answer.fed[draw, i] += cells.velocity * step * inlet[i]
        answer.steps[draw, 0] += 1
        if answer.steps[draw, 0] + answer.steps[draw, 1] > rule.most:
            return math.nan
        time = end if last else time + step
        wanted = step * min(4.0, 0.9 * max(error, 1e-9) ** (-1.0 / 3.0))
    return wanted


@kernel
def draws(
    course: Course, matter: Matter, rule: Rule, held: Array, answer: Answer, begin: int, end: int
) -> int:
    """Some of the draws, one after the other; gives the first that fails, or −1.

    Parameters
    ----------
    course, matter, rule : NamedTuple
        The problem.
    held : float64, shape (draws, vapours)
        Loadings that errors are measured by; grow with what is held [mol/kg].
    answer : Answer
        Written.
    begin, end : int
        Which draws [-].
    """
    layers, n = matter.depth.shape[0], answer.loading.shape[2]
    decay, bend = np.empty((layers, n)), np.empty((layers, n))
    cells = matter.layer.shape[0]
    work = Work(np.empty((cells, 11, n)), np.empty((cells, 6)), np.empty((4, n)), np.empty((7, n)))
    for draw in range(begin, end):
        for j in range(cells):
            work.one[j, GUESS] = math.nan
        own = min(draw, matter.rates.shape[0] - 1)
        like = min(draw, matter.limit.shape[0] - 1)
        by = min(draw, matter.grid.shape[0] - 1)
        mass = matter.mass[min(draw, matter.mass.shape[0] - 1)]
        step = 1e-4 * (course.time[1] - course.time[0])
        for piece in range(course.state.shape[0]):
            state = course.state[piece]
            inlet = course.inlet[min(draw, course.inlet.shape[0] - 1), piece]
            velocity = course.velocity[min(draw, course.velocity.shape[0] - 1), piece]
            weights(matter.depth, matter.rates[own, state], velocity, decay, bend)
            bed = Cells(matter.layer, mass, decay, bend, velocity, course.thermal[piece])
            laws = Laws(
                matter.kind[state],
                matter.limit[like, state],
                matter.affinity[like, state],
                matter.grid[by, state],
                matter.values[by, state],
            )
            span = course.time[piece + 1] - course.time[piece]
            step = _piece(
                laws, bed, inlet, course.time[piece], course.time[piece + 1], min(step, 1e-3 * span),
                rule, held[draw], answer, draw, work,
            )  # fmt: skip
            if math.isnan(step):
                return draw
    return -1
