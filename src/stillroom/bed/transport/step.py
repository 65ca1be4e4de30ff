"""One step in time: Rodas3 with a small system a cell, its error, and its end. Compiled.

A cell hangs on those before it, never on those behind, so each stage is one pass along the bed. The Jacobian is whole, with
what a cell's gas brings to those after it: what the bed gains is what the gas loses, to the last digit.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from stillroom.bed.transport.laws import (
    NOTHING,
    OWN,
    PUSH,
    TABLES,
    WEIGHT,
    C,
    Laws,
    site_pressures,
    table_pressures,
)
from stillroom.bed.transport.sweep import (
    DIAGONAL,
    FIRST,
    GUESS,
    INVERSE,
    SECOND,
    SHARE,
    Cells,
    U,
    Work,
)
from stillroom.media.kernels import kernel

__all__ = ["factor", "gas_error", "held_error", "stage", "take"]

Array = NDArray[np.float64]

_GAMMA = 0.5  # of Rodas3
_GAS = 10.0  # times the tolerance: what stands over grains that fill up is hardly smooth


@kernel
def factor(cells: Cells, step: float, work: Work) -> None:
    """M = 1/(γh) − ∂f/∂q of every cell, a diagonal and two products, made ready to be solved with.

    Parameters
    ----------
    cells : Cells
        The bed.
    step : float64
        h [s].
    work : Work
        From `look`; written.
    """
    for j in range(work.cell.shape[0]):
        cell = work.cell[j]
        speed = cells.velocity / cells.mass[j]
        wa, wb, sa, sb = 0.0, 0.0, 0.0, 0.0
        for i in range(cell.shape[1]):
            taken = speed * (1.0 - cells.decay[j, i] + cells.bend[j, i])
            d = 1.0 / (1.0 / (_GAMMA * step) + taken * cell[OWN, i])
            a = d * taken * cell[PUSH, i]
            b = d * taken * cell[C, i] * work.one[j, SHARE]
            cell[DIAGONAL, i], cell[FIRST, i], cell[SECOND, i] = d, a, b
            wa += cell[WEIGHT, i] * a
            wb += cell[WEIGHT, i] * b
            sa += a
            sb += b
        det = (1.0 + wa) * (1.0 - sb) + wb * sa
        work.one[j, INVERSE] = (1.0 - sb) / det
        work.one[j, INVERSE + 1] = wb / det
        work.one[j, INVERSE + 2] = -sa / det
        work.one[j, INVERSE + 3] = (1.0 + wa) / det


@kernel
def stage(laws: Laws, cells: Cells, q: Array, inlet: Array, step: float, number: int, work: Work) -> None:
    """One of Rodas3's four stages: U of every cell, and of what leaves.

    Parameters
    ----------
    laws : Laws
        A layer each.
    cells : Cells
        The bed.
    q : float64, shape (cells, vapours)
        Loadings at the step's start [mol/kg].
    inlet : float64, shape (vapours,)
        [mol/m³]
    step : float64
        h [s].
    number : int
        0 to 3 [-].
    work : Work
        Stage `number` is written.

    Notes
    -----
    (1/(γh) − J) U_i = f(q + Σ a_ij U_j) + Σ c_ij U_j/h, [sandu-1997]: L-stable, third order; the second stage stands at
    the step's start, as the first.
    """
    gas, before, flow, flowed, point, p, right = (
        work.row[0],
        work.row[1],
        work.row[2],
        work.row[3],
        work.row[4],
        work.row[5],
        work.row[6],
    )
    cold = 1.0 / cells.thermal
    c0 = (4.0 if number == 1 else 1.0) / step if number > 0 else 0.0
    c1 = -1.0 / step if number > 1 else 0.0
    c2 = -8.0 / (3.0 * step) if number > 2 else 0.0
    n = q.shape[1]
    for i in range(n):
        gas[i], flow[i] = inlet[i], 0.0
        before[i] = flowed[i] = 0.0
    for j in range(q.shape[0]):
        layer = cells.layer[j]
        cell = work.cell[j]
        speed = cells.velocity / cells.mass[j]
        share = work.one[j, SHARE]
        if number >= 2:
            for i in range(n):
                point[i] = q[j, i] + 2.0 * cell[U, i] + (cell[U + 2, i] if number == 3 else 0.0)
                if cells.stock[layer, i] > 0.0:
                    point[i] = 0.0
            if laws.kind[layer] == TABLES:
                table_pressures(laws.grid, laws.values, layer, point, work.one[j, GUESS], p)
            else:
                site_pressures(laws.crowd, laws.over, layer, point, p)
            for i in range(n):
                p[i] *= cold
        else:
            for i in range(n):
                p[i] = cell[C, i]
        pushed, summed = 0.0, 0.0
        for i in range(n):
            e, bend = cells.decay[j, i], cells.bend[j, i]
            new = e * gas[i] + (1.0 - e) * p[i] + bend * (p[i] - before[i])
            r = speed * (gas[i] - new + (1.0 - e) * flow[i] + bend * flowed[i])
            if number > 0:
                r += c0 * cell[U, i]
            if number > 1:
                r += c1 * cell[U + 1, i]
            if number > 2:
                r += c2 * cell[U + 2, i]
            r *= cell[DIAGONAL, i]
            gas[i], before[i], right[i] = new, p[i], r
            pushed += cell[WEIGHT, i] * r
            summed += r if cells.stock[layer, i] == 0.0 else 0.0
        x = work.one[j, INVERSE] * pushed + work.one[j, INVERSE + 1] * summed
        y = work.one[j, INVERSE + 2] * pushed + work.one[j, INVERSE + 3] * summed
        for i in range(n):
            r = right[i] - cell[FIRST, i] * x + cell[SECOND, i] * y
            here = cell[OWN, i] * r + cell[PUSH, i] * x - cell[C, i] * share * y
            e, bend = cells.decay[j, i], cells.bend[j, i]
            flow[i] = e * flow[i] + (1.0 - e) * here + bend * (here - flowed[i])
            cell[U + number, i], flowed[i] = r, here
    for i in range(n):
        r = cells.velocity * (gas[i] + flow[i])
        if number > 0:
            r += c0 * work.left[0, i]
        if number > 1:
            r += c1 * work.left[1, i]
        if number > 2:
            r += c2 * work.left[2, i]
        work.left[number, i] = _GAMMA * step * r


@kernel
def held_error(work: Work, held: Array) -> float:
    """Of a step: each vapour's root mean square along the bed, over the most that a cell holds, the worst one.

    Parameters
    ----------
    work : Work
        After the last stage.
    held : float64, shape (vapours,)
        The most that a cell holds [mol/kg].
    """
    cell = work.cell
    worst = 0.0
    for i in range(cell.shape[2]):
        total = 0.0
        for j in range(cell.shape[0]):
            total += cell[j, U + 3, i] ** 2
        worst = max(worst, total / cell.shape[0] / held[i] ** 2)
    return math.sqrt(worst)


@kernel
def gas_error(cells: Cells, work: Work, most: Array) -> float:
    """The same of what stands over the grains at the step's end: near full pores a little too much is a large pressure.

    Parameters
    ----------
    cells : Cells
        The bed.
    work : Work
        After the last stage and a `look` at the step's end.
    most : float64, shape (vapours,)
        The largest inlet; vapours that are never fed do not count [mol/m³].
    """
    count, n = work.cell.shape[0], work.cell.shape[2]
    total = work.row[0]
    for i in range(n):
        total[i] = 0.0
    for j in range(count):
        cell = work.cell[j]
        pushed, summed = 0.0, 0.0
        for i in range(n):
            pushed += cell[WEIGHT, i] * cell[U + 3, i]
            summed += cell[U + 3, i] if cells.stock[cells.layer[j], i] == 0.0 else 0.0
        summed *= work.one[j, SHARE]
        for i in range(n):
            total[i] += (cell[OWN, i] * cell[U + 3, i] + cell[PUSH, i] * pushed - cell[C, i] * summed) ** 2
    worst = 0.0
    for i in range(n):
        if most[i] > 0.0:
            worst = max(worst, total[i] / count / (_GAS * most[i]) ** 2)
    return math.sqrt(worst)


@kernel
def take(q: Array, work: Work, cells: Cells, held: Array, left: Array) -> None:
    """The step's end. What a cell would lack below zero is taken from what goes on to the cells after it.

    Parameters
    ----------
    q : float64, shape (cells, vapours)
        Loadings; written [mol/kg].
    work : Work
        After the last stage.
    cells : Cells
        The bed.
    held : float64, shape (vapours,)
        Grows with what a cell holds [mol/kg].
    left : float64, shape (vapours,)
        Grows by what leaves the bed [mol/m²].
    """
    for i in range(q.shape[1]):
        lack = 0.0
        for j in range(q.shape[0]):
            mass, cell = cells.mass[j], work.cell[j]
            new = q[j, i] + 2.0 * cell[U, i] + cell[U + 2, i] + cell[U + 3, i] + lack / mass
            lack = min(new, 0.0) * mass
            q[j, i] = new if new > NOTHING else 0.0
            held[i] = max(held[i], q[j, i])
        left[i] += 2.0 * work.left[0, i] + work.left[2, i] + work.left[3, i] + lack
