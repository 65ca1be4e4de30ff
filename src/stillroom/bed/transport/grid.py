"""Where the cells of a numerical bed lie."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stillroom.bed.transport.problem import Problem

__all__ = ["grid"]

Array = NDArray[np.float64]

_UNITS_A_CELL, _UNITS_AT_LAST, _RATIO = 0.4, 0.03, 1.15
_FEWEST, _MOST = 20, 250  # cells of a layer that are chosen without being asked


def grid(problem: Problem) -> tuple[Array, ...]:
    """Depth of each cell, layer by layer [m].

    Parameters
    ----------
    problem : Problem
        The bed; where its scheme tells no cells, 0.4 transfer units of the fastest vapour each, 20 to 250 a layer.

    Notes
    -----
    Towards the outlet cells shrink to 0.03 units: where pores fill up, a front has a corner, and how its way through
    one of the last cells is told shows in the outlet. Earlier cells' part of that is smoothed on the way.
    """
    slowest = float(np.min(problem.flow)) / problem.area
    found = []
    for number, layer in enumerate(problem.layers):
        if problem.scheme.cells:
            count = problem.scheme.cells[number]
            found.append(np.full(count, layer.depth / count))
            continue
        units = max(float(np.max(layer.rates)) * layer.depth / slowest, 1e-6)
        count = int(np.clip(np.ceil(units / _UNITS_A_CELL), _FEWEST, _MOST))
        last = number == len(problem.layers) - 1
        found.append(
            layer.depth * (_finer(count, _UNITS_AT_LAST / units) if last else np.full(count, 1.0 / count))
        )
    return tuple(found)


def _finer(count: int, smallest: float) -> Array:
    """Shares of a layer: `count` of them if they were even, but shrinking to `smallest` at the end."""
    tail = smallest * _RATIO ** np.arange(200)
    tail = tail[tail < 1.0 / count]
    tail = tail[np.cumsum(tail) < 0.8][::-1]
    rest = 1.0 - tail.sum()
    even = max(int(np.ceil(rest * count)), 1)
    return np.concatenate([np.full(even, rest / even), tail])
