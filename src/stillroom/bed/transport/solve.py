"""A problem, as arrays, through the compiled march, and back."""

from __future__ import annotations

from collections.abc import Sequence
from threading import Thread
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.bed.transport.grid import grid
from stillroom.bed.transport.problem import Langmuir, Law, Linear, Packing, Problem
from stillroom.bed.transport.result import Curve, Ensemble
from stillroom.errors import CannotTell
from stillroom.media.tables import Tables
from stillroom.units import GAS_CONSTANT

if TYPE_CHECKING:
    from stillroom.bed.transport.report import Answer, Course, Matter, Rule

__all__ = ["simulate", "simulate_draws"]

Array = NDArray[np.float64]

_TRACED, _STRAIGHT = 40_000, 1e-3  # points of a trace; share of the largest outlet
_EVEN, _AFTER = 1000, 40  # times of a curve: evenly spread, and after each change of the inlet


def _first(values: ArrayLike, axes: int) -> Array:
    """Draws, last where there are more than `axes`, as the first axis."""
    array = np.asarray(values, float)
    whole = array[..., None] if array.ndim == axes else array
    return np.ascontiguousarray(np.moveaxis(whole, -1, 0))


def _whole(parts: Sequence[Array], axis: int) -> Array:
    """Stacked, one draw repeated where others have more."""
    draws = max(part.shape[0] for part in parts)
    spread = [np.broadcast_to(part, (draws, *part.shape[1:])) for part in parts]
    return np.ascontiguousarray(np.stack(spread, axis=axis))


class _Told(NamedTuple):
    """A law as the kernels take it, draws first."""

    kind: int
    crowd: Array
    over: Array
    grid: Array
    values: Array


def _law(law: Law, count: int) -> _Told:
    from stillroom.bed.transport.laws import SITES, TABLES

    nothing = (np.zeros((1, 0, 9)), np.zeros((1, 0, 2, 4)))
    if isinstance(law, Linear):
        return _Told(SITES, np.zeros((1, count)), 1.0 / _first(law.henry, 1), *nothing)
    if isinstance(law, Langmuir):
        crowd = 1.0 / _first(law.limit, 1)
        return _Told(SITES, crowd, crowd / _first(law.affinity, 1), *nothing)
    ones = np.ones((1, count))
    return _Told(TABLES, ones, ones, np.moveaxis(law.grid, 1, 0), np.moveaxis(law.values, 1, 0))


def _stock(layer: Packing, states: int, count: int) -> Array:
    """(draws, states, vapours) [mol/kg]."""
    return np.zeros((1, states, count)) if layer.stock is None else _first(layer.stock, 2)[:, :states]


def _alike(parts: Sequence[Array]) -> list[Array]:
    """Layers without tables get room for none, in the shape of those with."""
    largest = max(parts, key=lambda part: part.size)
    return [part if part.size else np.zeros((1, *largest.shape[1:])) for part in parts]


def _matter(problem: Problem, cells: Sequence[Array]) -> Matter:
    from stillroom.bed.transport.report import Matter

    states = range(max(problem.state, default=0) + 1)
    layers, count = problem.layers, len(problem.vapours)
    told = [_law(layer.laws[state], count) for state in states for layer in layers]

    def together(parts: Sequence[Array]) -> Array:
        rows = [_whole(parts[i : i + len(layers)], 1) for i in range(0, len(parts), len(layers))]
        return _whole(rows, 1)

    where = np.repeat(np.arange(len(layers)), [part.size for part in cells])
    depth = np.concatenate(cells)
    density = _whole([_first(layer.bulk_density, 0) for layer in layers], 1)
    families = problem.families or ("",) * count
    return Matter(
        layer=where,
        depth=depth,
        mass=np.ascontiguousarray(density[:, where] * depth),
        rates=_whole([_first(layer.rates, 2)[:, : len(states)] for layer in layers], 2),
        stock=_whole([_stock(layer, len(states), count) for layer in layers], 2),
        family=np.array([families.index(name) if name else i for i, name in enumerate(families)]),
        kind=np.array([law.kind for law in told], dtype=np.int64).reshape(len(states), len(layers)),
        crowd=together([law.crowd for law in told]),
        over=together([law.over for law in told]),
        grid=together(_alike([law.grid for law in told])),
        values=together(_alike([law.values for law in told])),
    )


def _course(problem: Problem) -> Course:
    from stillroom.bed.transport.report import Course

    return Course(
        time=np.asarray(problem.times, float),
        inlet=_first(problem.inlet, 2),
        velocity=_first(problem.flow, 1) / problem.area,
        thermal=GAS_CONSTANT * np.asarray(problem.temperature, float),
        state=np.array(problem.state or [0] * len(problem.temperature), dtype=np.int64),
    )


def _held(layer: Packing, state: int, pressure: Array) -> Array:
    """The most that is held with a mixture (vapours, draws) over it: stocks, and loadings in equilibrium [mol/kg]."""
    stock = _stock(layer, state + 1, len(pressure))[:, state].T
    return np.where(stock > 0.0, stock, _adsorbed(layer, state, np.where(stock > 0.0, 0.0, pressure)))


def _adsorbed(layer: Packing, state: int, pressure: Array) -> Array:
    """Loadings in equilibrium with a mixture (vapours, draws) [mol/kg]."""
    law = layer.laws[state]
    if isinstance(law, Tables):
        from stillroom.media.ideal_solution import loadings

        return loadings(pressure, law)
    if isinstance(law, Linear):
        return np.asarray(_first(law.henry, 1).T * pressure)
    part = _first(law.affinity, 1).T * pressure
    return np.asarray(_first(law.limit, 1).T * part / (1.0 + part.sum(axis=0)))


def _scale(problem: Problem, course: Course) -> Array:
    """Largest loading of each vapour at any inlet, by which errors are measured (draws, vapours) [mol/kg]."""
    most = np.full((len(problem.vapours), 1), 1e-30)
    for piece, state in enumerate(course.state):
        pressure = course.inlet[:, piece].T * course.thermal[piece]
        for layer in problem.layers:
            most = np.maximum(most, _held(layer, int(state), pressure))
    return np.asarray(most.T)


def _start(problem: Problem, cells: Sequence[Array], draws: int) -> Array:
    sizes = [part.size for part in cells]
    shape = (draws, sum(sizes), len(problem.vapours))
    if problem.start is None:
        return np.zeros(shape)
    return np.broadcast_to(np.repeat(_first(problem.start, 2), sizes, axis=1), shape).copy()


def _march(
    course: Course, matter: Matter, rule: Rule, held: Array, most: Array, answer: Answer, threads: int
) -> None:
    """Draws are shared out: each thread has its own, so that answers do not hang on their number."""
    from stillroom.bed.transport.march import draws

    total = answer.loading.shape[0]
    ends = np.linspace(0, total, max(1, min(threads, total)) + 1).astype(int)
    failed: list[int] = []
    parts = list(zip(ends[:-1].tolist(), ends[1:].tolist(), strict=True))

    def work(begin: int, end: int) -> None:
        failed.append(int(draws(course, matter, rule, held, most, answer, begin, end)))

    if len(parts) == 1:
        work(*parts[0])
    else:
        draws(course, matter, rule, held, most, answer, 0, 0)  # compiled once, before threads ask for it
        workers = [Thread(target=work, args=part) for part in parts]
        for worker in workers:
            worker.start()
        for worker in workers:
            worker.join()
    if any(draw >= 0 for draw in failed) or len(failed) < len(parts):
        raise CannotTell(
            f"The bed could not be marched through within {rule.most} steps. "
            "Look for a rate, a law or an inlet that is many powers of ten beyond the others."
        )


def simulate_draws(problem: Problem, times: ArrayLike, *, threads: int = 1) -> Ensemble:
    """Many draws of one bed: outlets at the times asked, breakthroughs, loadings, balances.

    Parameters
    ----------
    problem : Problem
        Arrays may have a last axis of draws.
    times : array_like, shape (times,)
        Rising, from the start to the end of the feed [s].
    threads : int
        Among which draws are shared [-].

    Raises
    ------
    CannotTell
        More steps than `Scheme.most_steps` would be needed.
    """
    return Ensemble.of(problem, *_solved(problem, times, threads=threads, traced=0))


def _solved(
    problem: Problem, times: ArrayLike, *, threads: int, traced: int
) -> tuple[Course, Matter, Answer, Array]:
    """The march's own arrays; `traced` rows of each draw's outlet as the steps come."""
    from stillroom.bed.transport.report import Answer, Rule

    scheme, cells = problem.scheme, grid(problem)
    course, matter = _course(problem), _matter(problem, cells)
    by_draws = (
        matter.mass,
        matter.rates,
        matter.stock,
        matter.crowd,
        matter.over,
        matter.grid,
        matter.values,
    )
    draws = max(part.shape[0] for part in (course.inlet, course.velocity, *by_draws))
    begin = _start(problem, cells, draws)
    draws = max(draws, begin.shape[0])
    held = np.array(np.broadcast_to(_scale(problem, course), (draws, len(problem.vapours))))
    reference = np.broadcast_to(course.inlet.max(axis=1), held.shape)
    level = np.where(reference[..., None] > 0.0, reference[..., None] * problem.fractions, np.inf)
    asked = np.ascontiguousarray(times, dtype=float)
    answer = Answer(
        loading=begin.copy(),
        time=asked,
        outlet=np.zeros((draws, asked.size, len(problem.vapours))),
        level=level,
        reached=np.full(level.shape, np.nan),
        fed=np.zeros(held.shape),
        left=np.zeros(held.shape),
        trace=np.zeros((draws, traced, 1 + len(problem.vapours))),
        steps=np.zeros((draws, 4), dtype=np.int64),
    )
    rule = Rule(scheme.tolerance, scheme.longest_step, scheme.most_steps)
    _march(course, matter, rule, held, np.array(reference), answer, threads)
    return course, matter, answer, begin


def _times(problem: Problem) -> Array:
    """Even, and after each change of the inlet ever wider apart."""
    ends = np.asarray(problem.times, float)
    span = ends[-1] - ends[0]
    after = ends[:-1, None] + np.diff(ends)[:, None] * np.geomspace(1e-6, 0.1, _AFTER)
    return np.unique(np.concatenate([ends[0] + span * np.linspace(0.0, 1.0, _EVEN + 1), ends, after.ravel()]))


def simulate(problem: Problem, *, times: ArrayLike | None = None) -> Curve:
    """The outlet of a bed in time, its loading at the end, and when each vapour breaks through.

    Parameters
    ----------
    problem : Problem
        From `load`, or made; one draw.
    times : array_like, shape (times,), optional
        Rising, from the start to the end of the feed; where absent, 1000 and more where the outlet bends [s].

    Notes
    -----
    Equations, scheme and order: docs/theory/bed.md.

    Validity: constant temperature within a piece, even flow, no axial dispersion, no bypass; gas hold-up left out.

    Raises
    ------
    CannotTell
        More steps than `Scheme.most_steps` would be needed.
    """
    if times is not None:
        return simulate_draws(problem, times).curve()
    course, matter, answer, begin = _solved(problem, _times(problem), threads=1, traced=_TRACED)
    return Ensemble.of(problem, course, matter, _with_trace(answer), begin).curve()


def _with_trace(answer: Answer) -> Answer:
    """Points of the trace where the outlet is not straight between the times asked, by a thousandth of its largest."""
    time, outlet = answer.time, answer.outlet[0]
    trace = answer.trace[0, : answer.steps[0, 3]]
    largest = np.maximum(outlet.max(axis=0), 1e-300)
    between = np.clip(np.searchsorted(time, trace[:, 0]) - 1, 0, time.size - 2)
    share = (trace[:, 0] - time[between]) / (time[between + 1] - time[between])
    straight = outlet[between] + share[:, None] * (outlet[between + 1] - outlet[between])
    off = (np.abs(trace[:, 1:] - straight) / largest).max(axis=1, initial=0.0)
    bent = np.zeros(time.size, dtype=bool)
    bent[between[off > _STRAIGHT]] = True
    more = trace[bent[between]]
    whole, first = np.unique(np.concatenate([time, more[:, 0]]), return_index=True)
    return answer._replace(time=whole, outlet=np.concatenate([outlet, more[:, 1:]])[first][None])
