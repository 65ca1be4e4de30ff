"""Along the bed in one step of time: gas by an exponential step a cell, solid by Rodas3. Compiled.

In a cell of N transfer units, c* of its mean loading with the slope from the cell before it, m = ρ_b Δz::

    c_out = E c_in + (1 − E + φ) c* − φ c*_before      E = e^{−N}, φ = (1 + E)/2 − (1 − E)/N, not over E
    dq/dt = (u/m)(c_in − c_out)

Every weight with which the inlet and the cells reach an outlet is above zero and they sum to one, so no concentration
leaves the range of what comes in and what stands over the grains. The gas at any time follows from the loadings alone.
A cell hangs on those before it, never on those behind: each stage of a step is one pass, with one system a cell.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from stillroom.bed.transport.laws import Laws, pressures, slopes
from stillroom.media.kernels import kernel

__all__ = ["Cells", "Work", "factor", "look", "stage", "weights"]

Array = NDArray[np.float64]

_GAMMA = 0.5  # of Rodas3
_C, _OWN, _PUSH, _WEIGHT, _DIAGONAL, _FIRST, _SECOND, U = 0, 1, 2, 3, 4, 5, 6, 7  # rows of Work.cell
_SHARE, GUESS, _INVERSE = 0, 1, 2  # of Work.one


class Cells(NamedTuple):
    """The bed in one state of the air, for one draw."""

    layer: NDArray[np.int64]
    """(cells,), the layer that each lies in"""
    mass: Array
    """(layers,), of one cell [kg/m²]"""
    decay: Array
    """(layers, vapours), E"""
    bend: Array
    """(layers, vapours), φ"""
    velocity: float
    """superficial [m/s]"""
    thermal: float
    """RT [J/mol]"""


class Work(NamedTuple):
    """What a step remembers."""

    cell: Array
    """(cells, 11, vapours): c* [mol/m³], its Jacobian's own, push and weight; M⁻¹ of the diagonal and of the two
    products; the four stages U [mol/kg]"""
    one: Array
    """(cells, 6): the Jacobian's share, a guess for the law, and the two by two that undo the products"""
    left: Array
    """(4, vapours), U of what has left [mol/m²]"""
    row: Array
    """(7, vapours), of one cell at a time"""


@kernel
def weights(depth: Array, rates: Array, velocity: float, decay: Array, bend: Array) -> None:
    """E and φ of each layer and vapour.

    Parameters
    ----------
    depth : float64, shape (layers,)
        Of one cell [m].
    rates : float64, shape (layers, vapours)
        k [1/s].
    velocity : float64
        Superficial [m/s].
    decay, bend : float64, shape (layers, vapours)
        Written: E, φ [-].
    """
    for layer in range(rates.shape[0]):
        for i in range(rates.shape[1]):
            n = rates[layer, i] * depth[layer] / velocity
            e = math.exp(-n)
            if n < 1e-2:
                curve = n * n * (1.0 / 12.0 + n * (-1.0 / 24.0 + n / 80.0))
            else:
                curve = 0.5 * (1.0 + e) + math.expm1(-n) / n
            decay[layer, i] = e
            bend[layer, i] = min(curve, e)


@kernel
def look(laws: Laws, cells: Cells, q: Array, inlet: Array, work: Work, outlet: Array, rise: Array) -> None:
    """Equilibrium and Jacobian of every cell, the outlet, and how fast it rises.

    Parameters
    ----------
    laws : Laws
        A layer each.
    cells : Cells
        The bed.
    q : float64, shape (cells, vapours)
        Loadings [mol/kg].
    inlet : float64, shape (vapours,)
        [mol/m³]
    work : Work
        Written.
    outlet, rise : float64, shape (vapours,)
        Written [mol/m³], [mol/(m³ s)].
    """
    before, grown, f = work.row[0], work.row[1], work.row[2]
    for i in range(q.shape[1]):
        outlet[i], rise[i] = inlet[i], 0.0
    layer = -1
    for j in range(q.shape[0]):
        start = cells.layer[j] != layer
        layer = cells.layer[j]
        decay, bends = cells.decay[layer], cells.bend[layer]
        cell = work.cell[j]
        work.one[j, GUESS], share = slopes(
            laws, layer, q[j], work.one[j, GUESS], cell[_C], cell[_OWN], cell[_PUSH], cell[_WEIGHT]
        )
        work.one[j, _SHARE] = share
        speed = cells.velocity / cells.mass[layer]
        pushed, summed = 0.0, 0.0
        for i in range(q.shape[1]):
            cell[_C, i] /= cells.thermal
            cell[_OWN, i] /= cells.thermal
            cell[_PUSH, i] /= cells.thermal
            here = cell[_C, i]
            slope = 0.0 if start else here - before[i]
            new = decay[i] * outlet[i] + (1.0 - decay[i]) * here + bends[i] * slope
            f[i] = speed * (outlet[i] - new)
            outlet[i], before[i] = new, here
            pushed += cell[_WEIGHT, i] * f[i]
            summed += f[i]
        for i in range(q.shape[1]):
            here = cell[_OWN, i] * f[i] + cell[_PUSH, i] * pushed - cell[_C, i] * share * summed
            slope = 0.0 if start else here - grown[i]
            rise[i] = decay[i] * rise[i] + (1.0 - decay[i]) * here + bends[i] * slope
            grown[i] = here


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
    layer = -1
    for j in range(work.cell.shape[0]):
        start = cells.layer[j] != layer
        layer = cells.layer[j]
        cell = work.cell[j]
        speed = cells.velocity / cells.mass[layer]
        wa, wb, sa, sb = 0.0, 0.0, 0.0, 0.0
        for i in range(cell.shape[1]):
            back = 0.0 if start else cells.bend[layer, i]
            taken = speed * (1.0 - cells.decay[layer, i] + back)
            d = 1.0 / (1.0 / (_GAMMA * step) + taken * cell[_OWN, i])
            a = d * taken * cell[_PUSH, i]
            b = d * taken * cell[_C, i] * work.one[j, _SHARE]
            cell[_DIAGONAL, i], cell[_FIRST, i], cell[_SECOND, i] = d, a, b
            wa += cell[_WEIGHT, i] * a
            wb += cell[_WEIGHT, i] * b
            sa += a
            sb += b
        det = (1.0 + wa) * (1.0 - sb) + wb * sa
        work.one[j, _INVERSE] = (1.0 - sb) / det
        work.one[j, _INVERSE + 1] = wb / det
        work.one[j, _INVERSE + 2] = -sa / det
        work.one[j, _INVERSE + 3] = (1.0 + wa) / det


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
    (1/(γh) − J) U_i = f(q + Σ a_ij U_j) + Σ c_ij U_j/h, J with all that a cell's gas brings to those after it, so that
    what the bed gains is what the gas loses to the last digit. [sandu-1997], L-stable, third order; the second stage
    stands at the step's start, as the first.
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
    c0 = (4.0 if number == 1 else 1.0) / step if number > 0 else 0.0
    c1 = -1.0 / step if number > 1 else 0.0
    c2 = -8.0 / (3.0 * step) if number > 2 else 0.0
    n = q.shape[1]
    for i in range(n):
        gas[i], flow[i] = inlet[i], 0.0
    layer = -1
    for j in range(q.shape[0]):
        start = cells.layer[j] != layer
        layer = cells.layer[j]
        decay, bends = cells.decay[layer], cells.bend[layer]
        cell = work.cell[j]
        speed = cells.velocity / cells.mass[layer]
        share = work.one[j, _SHARE]
        if number >= 2:
            for i in range(n):
                point[i] = q[j, i] + 2.0 * cell[U, i] + (cell[U + 2, i] if number == 3 else 0.0)
            pressures(laws, layer, point, work.one[j, GUESS], p)
            for i in range(n):
                p[i] /= cells.thermal
        else:
            for i in range(n):
                p[i] = cell[_C, i]
        pushed, summed = 0.0, 0.0
        for i in range(n):
            bend = 0.0 if start else bends[i]
            if start:
                before[i], flowed[i] = p[i], 0.0
            new = decay[i] * gas[i] + (1.0 - decay[i]) * p[i] + bend * (p[i] - before[i])
            r = speed * (gas[i] - new + (1.0 - decay[i]) * flow[i] + bend * flowed[i])
            if number > 0:
                r += c0 * cell[U, i]
            if number > 1:
                r += c1 * cell[U + 1, i]
            if number > 2:
                r += c2 * cell[U + 2, i]
            r *= cell[_DIAGONAL, i]
            gas[i], before[i], right[i] = new, p[i], r
            pushed += cell[_WEIGHT, i] * r
            summed += r
        x = work.one[j, _INVERSE] * pushed + work.one[j, _INVERSE + 1] * summed
        y = work.one[j, _INVERSE + 2] * pushed + work.one[j, _INVERSE + 3] * summed
        for i in range(n):
            r = right[i] - cell[_FIRST, i] * x + cell[_SECOND, i] * y
            here = cell[_OWN, i] * r + cell[_PUSH, i] * x - cell[_C, i] * share * y
            bend = 0.0 if start else bends[i]
            flow[i] = decay[i] * flow[i] + (1.0 - decay[i]) * here + bend * (here - flowed[i])
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
