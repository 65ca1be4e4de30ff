"""Through time: pieces between changes of the inlet, steps as long as the error allows, draw after draw. Compiled."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from stillroom.bed.transport.laws import Laws
from stillroom.bed.transport.report import Answer, Course, Matter, Rule, arrive, report
from stillroom.bed.transport.step import factor, gas_error, held_error, stage, take
from stillroom.bed.transport.sweep import GUESS, Cells, Work, hold, look, stock_error, weights
from stillroom.media.kernels import kernel

__all__ = ["draws"]

Array = NDArray[np.float64]

_FIRST = 1e-3  # of a piece, and of the time in which the fastest vapour fills the bed: the first step tried
_LONGER, _SHORTER = 4.0, 0.2  # at most, from step to step


@kernel
def _factor(error: float) -> float:
    """The next step over this one, for a third-order method with a second-order one inside."""
    if not math.isfinite(error):
        return 0.1
    return float(max(_SHORTER, min(_LONGER, 0.9 * max(error, 1e-9) ** (-1.0 / 3.0))))


@kernel
def _shortest(mass: Array, velocity: float, held: Array, most: Array, span: float) -> float:
    """The first step of a piece."""
    there = 0.0
    for j in range(mass.shape[0]):
        there += mass[j]
    for i in range(held.shape[0]):
        if most[i] > 0.0:
            span = min(span, there * held[i] / (velocity * most[i]))
    return _FIRST * span


@kernel
def _copy(q: Array, left: Array, to_q: Array, to_left: Array) -> None:
    for i in range(q.shape[1]):
        to_left[i] = left[i]
        for j in range(q.shape[0]):
            to_q[j, i] = q[j, i]


@kernel
def _try(
    laws: Laws, cells: Cells, inlet: Array, step: float, rule: Rule, held: Array, most: Array,
    q: Array, left: Array, kept: Array, gone: Array, work: Work, old: Array, rise: Array, new: Array, climb: Array,
) -> float:  # fmt: skip
    """One step; gives its error over the tolerance. Where that is above one, all is as before."""
    if cells.reacts:
        hold(cells, q, 0.5 * step, work)
    factor(cells, step, work)
    for number in range(4):
        stage(laws, cells, q, inlet, step, number, work)
    error = held_error(work, held) / rule.tolerance
    if not error <= 1.0:
        return error
    _copy(q, left, kept, gone)
    take(q, work, cells, held, left)
    if cells.reacts:
        error = max(error, stock_error(cells, kept, q) / rule.tolerance)
        hold(cells, q, 0.0, work)
    look(laws, cells, q, inlet, work, new, climb)
    error = max(error, gas_error(cells, work, most) / rule.tolerance)
    if not error <= 1.0:
        _copy(kept, gone, q, left)
        if cells.reacts:
            hold(cells, q, 0.0, work)
        look(laws, cells, q, inlet, work, old, rise)
    return error


@kernel
def _piece(
    laws: Laws, cells: Cells, inlet: Array, begin: float, end: float, wanted: float,
    rule: Rule, held: Array, most: Array, answer: Answer, draw: int, work: Work,
) -> float:  # fmt: skip
    """From one change of the inlet to the next; gives the step to go on with, or nan where too many are needed."""
    q, left = answer.loading[draw], answer.left[draw]
    n = q.shape[1]
    old, rise, new, climb = np.empty(n), np.empty(n), np.empty(n), np.empty(n)
    kept, gone = np.empty((q.shape[0], n)), np.empty(n)
    if cells.reacts:
        hold(cells, q, 0.0, work)
    look(laws, cells, q, inlet, work, old, rise)
    arrive(answer, draw, begin, old)
    time = begin
    while time < end:
        rest = end - time
        step = min(wanted, rule.longest, rest)
        if 0.5 * rest < step < rest:
            step = 0.5 * rest
        error = _try(
            laws, cells, inlet, step, rule, held, most, q, left, kept, gone, work, old, rise, new, climb
        )
        taken = error <= 1.0
        answer.steps[draw, 0 if taken else 1] += 1
        wanted = step * _factor(error)
        if answer.steps[draw, 0] + answer.steps[draw, 1] > rule.most or time + step == time:
            return math.nan
        if taken:
            report(answer, draw, time, step, old, rise, new, climb)
            for i in range(n):
                old[i], rise[i] = new[i], climb[i]
                answer.fed[draw, i] += cells.velocity * step * inlet[i]
            time = end if step == rest else time + step
    return wanted


@kernel
def draws(
    course: Course, matter: Matter, rule: Rule, held: Array, most: Array, answer: Answer, begin: int, end: int
) -> int:
    """Some of the draws, one after the other; gives the first that fails, or −1.

    Parameters
    ----------
    course, matter, rule : Course, Matter, Rule
        The problem.
    held : float64, shape (draws, vapours)
        Loadings that errors are measured by; grow with what is held [mol/kg].
    most : float64, shape (draws, vapours)
        Concentrations that errors are measured by [mol/m³].
    answer : Answer
        Written.
    begin, end : int
        Which draws [-].
    """
    cells, n = matter.layer.shape[0], answer.loading.shape[2]
    units, decay, bend, left = (
        np.empty((cells, n)),
        np.empty((cells, n)),
        np.empty((cells, n)),
        np.ones((cells, n)),
    )
    work = Work(np.empty((cells, 12, n)), np.empty((cells, 6)), np.empty((4, n)), np.empty((7, n)))
    for draw in range(begin, end):
        for j in range(cells):
            work.one[j, GUESS] = math.nan
        own = min(draw, matter.rates.shape[0] - 1)
        like = min(draw, matter.crowd.shape[0] - 1)
        by = min(draw, matter.grid.shape[0] - 1)
        mass = matter.mass[min(draw, matter.mass.shape[0] - 1)]
        step = math.inf
        for piece in range(course.state.shape[0]):
            state = course.state[piece]
            inlet = course.inlet[min(draw, course.inlet.shape[0] - 1), piece]
            velocity = course.velocity[min(draw, course.velocity.shape[0] - 1), piece]
            weights(matter.layer, matter.depth, matter.rates[own, state], velocity, units, decay, bend)
            stock = matter.stock[min(draw, matter.stock.shape[0] - 1), state]
            bed = Cells(
                matter.layer, mass, decay, bend, velocity, course.thermal[piece],
                bool(stock.max() > 0.0), stock, matter.family, units, left,
            )  # fmt: skip
            laws = Laws(
                matter.kind[state],
                matter.crowd[like, state],
                matter.over[min(draw, matter.over.shape[0] - 1), state],
                matter.grid[by, state],
                matter.values[min(draw, matter.values.shape[0] - 1), state],
            )
            span = course.time[piece + 1] - course.time[piece]
            step = _piece(
                laws, bed, inlet, course.time[piece], course.time[piece + 1], min(step, _shortest(mass, velocity, held[draw], most[draw], span)),
                rule, held[draw], most[draw], answer, draw, work,
            )  # fmt: skip
            if math.isnan(step):
                return draw
    return -1
