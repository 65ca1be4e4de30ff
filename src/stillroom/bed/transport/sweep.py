"""Along the bed: the gas at any time, by an exponential step a cell. Compiled.

In a cell of N transfer units, c* of its mean loading with a slope from the cell before it, m = ρ_b Δz::

    c_out = E c_in + (1 − E + φ) c* − φ c*_before      E = e^{−N}, φ = (1 + E)/2 − (1 − E)/N, not over E
    dq/dt = (u/m)(c_in − c_out)

Every weight with which the inlet and the cells reach an outlet is above zero and they sum to one, so no concentration
leaves the range of what comes in and what stands over the grains. The gas follows from the loadings alone. What reacts has
c* = 0 and an E that follows its stock (`stocks`).
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from stillroom.bed.transport.laws import OWN, PUSH, TABLES, WEIGHT, C, Laws, site_slopes, table_slopes
from stillroom.media.kernels import kernel

__all__ = ["Cells", "Work", "hold", "look", "stock_error", "used", "weights"]

Array = NDArray[np.float64]

DIAGONAL, FIRST, SECOND, U, RATE = 4, 5, 6, 7, 11  # rows of Work.cell, after those of the laws
SHARE, GUESS, INVERSE = 0, 1, 2  # of Work.one


class Cells(NamedTuple):
    """The bed in one state of the air, for one draw."""

    layer: NDArray[np.int64]
    """(cells,), the layer that each lies in"""
    mass: Array
    """(cells,) [kg/m²]"""
    decay: Array
    """(cells, vapours), E"""
    bend: Array
    """(cells, vapours), φ; none where a layer begins"""
    velocity: float
    """superficial [m/s]"""
    thermal: float
    """RT [J/mol]"""
    reacts: bool
    """whether any vapour does in any layer"""
    stock: Array
    """(layers, vapours), what a layer takes up of a vapour alone for good; 0 where it adsorbs [mol/kg]"""
    family: NDArray[np.int64]
    """(vapours,), members of one use up one stock"""
    units: Array
    """(cells, vapours), N"""
    left: Array
    """(cells, vapours), share of the stock that E was made with; 1 where nothing reacts"""


class Work(NamedTuple):
    """What a step remembers."""

    cell: Array
    """(cells, 12, vapours): c* [mol/m³], its Jacobian's own, push and weight; M⁻¹ of the diagonal and of the two
    products; the four stages U [mol/kg]; dq/dt at the last look [mol/(kg s)]"""
    one: Array
    """(cells, 6): the Jacobian's share, a guess for the law, and the two by two that undo the products"""
    left: Array
    """(4, vapours), U of what has left [mol/m²]"""
    row: Array
    """(7, vapours), of one cell at a time"""


@kernel
def weights(
    layer: NDArray[np.int64],
    depth: Array,
    rates: Array,
    velocity: float,
    units: Array,
    decay: Array,
    bend: Array,
) -> None:
    """N, E and φ of each cell and vapour.

    Parameters
    ----------
    layer : int64, shape (cells,)
        That each lies in [-].
    depth : float64, shape (cells,)
        [m]
    rates : float64, shape (layers, vapours)
        k [1/s].
    velocity : float64
        Superficial [m/s].
    units, decay, bend : float64, shape (cells, vapours)
        Written: N, E, φ [-].
    """
    for j in range(layer.shape[0]):
        start = j == 0 or layer[j - 1] != layer[j]
        near = 0.0 if start else 2.0 * depth[j] / (depth[j] + depth[j - 1])
        for i in range(rates.shape[1]):
            n = rates[layer[j], i] * depth[j] / velocity
            e = math.exp(-n)
            if n < 1e-2:
                curve = n * n * (1.0 / 12.0 + n * (-1.0 / 24.0 + n / 80.0))
            else:
                curve = 0.5 * (1.0 + e) + math.expm1(-n) / n
            units[j, i] = n
            decay[j, i] = e
            bend[j, i] = near * min(curve, e)


@kernel
def used(cells: Cells, layer: int, i: int, amount: Array) -> float:
    """Share of the stock for one vapour that amounts of its family use up [-].

    Parameters
    ----------
    cells : Cells
        The bed.
    layer, i : int
        Which layer and vapour [-].
    amount : float64, shape (vapours,)
        What has been taken up [mol/kg], or each second.
    """
    share = 0.0
    for k in range(amount.shape[0]):
        if cells.family[k] == cells.family[i] and cells.stock[layer, k] > 0.0:
            share += amount[k] / cells.stock[layer, k]
    return share


@kernel
def hold(cells: Cells, q: Array, ahead: float, work: Work) -> None:
    """E of what reacts, with the stock that is left, or will be: within a step k is that of its middle.

    Parameters
    ----------
    cells : Cells
        The bed; `left` and `decay` are written.
    q : float64, shape (cells, vapours)
        Loadings [mol/kg].
    ahead : float64
        How much later, at the rates of the last look [s].
    work : Work
        From `look`, where `ahead` is above 0.

    Notes
    -----
    k x, x the share of the stock that is left: [bohart-adams-1920].
    """
    for j in range(q.shape[0]):
        layer = cells.layer[j]
        for i in range(q.shape[1]):
            if cells.stock[layer, i] > 0.0:
                x = 1.0 - used(cells, layer, i, q[j])
                if ahead > 0.0:
                    x -= ahead * used(cells, layer, i, work.cell[j, RATE])
                x = min(max(x, 0.0), 1.0)
                cells.left[j, i] = x
                cells.decay[j, i] = math.exp(-cells.units[j, i] * x)


@kernel
def stock_error(cells: Cells, before: Array, q: Array) -> float:
    """Of a step with the stock held as `hold` expected it: root mean square along the bed, the worst vapour.

    Parameters
    ----------
    cells : Cells
        The bed, `left` that of the step.
    before, q : float64, shape (cells, vapours)
        Loadings at the step's ends [mol/kg].

    Notes
    -----
    A cell's |x̄ − x| |Δx|/x, x̄ the mean of its ends: by how much the stock's own step is wrong.
    """
    worst = 0.0
    for i in range(q.shape[1]):
        total = 0.0
        for j in range(q.shape[0]):
            layer = cells.layer[j]
            if cells.stock[layer, i] > 0.0:
                begin = 1.0 - used(cells, layer, i, before[j])
                change = 1.0 - used(cells, layer, i, q[j]) - begin
                wrong = abs(begin + 0.5 * change - cells.left[j, i]) * change
                total += (wrong / max(cells.left[j, i], abs(change), 1e-12)) ** 2
        worst = max(worst, total / q.shape[0])
    return math.sqrt(worst)


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
    cold = 1.0 / cells.thermal
    before, grown, held = work.row[0], work.row[1], work.row[2]
    for i in range(q.shape[1]):
        outlet[i], rise[i] = inlet[i], 0.0
        before[i] = grown[i] = 0.0
    for j in range(q.shape[0]):
        layer = cells.layer[j]
        cell = work.cell[j]
        share = 0.0
        for i in range(q.shape[1]):
            held[i] = q[j, i] if cells.stock[layer, i] == 0.0 else 0.0
        if laws.kind[layer] == TABLES:
            work.one[j, GUESS], share = table_slopes(
                laws.grid, laws.values, layer, held, work.one[j, GUESS], cell
            )
        else:
            site_slopes(laws.crowd, laws.over, layer, held, cell)
        if cells.reacts:
            for i in range(q.shape[1]):
                if cells.stock[layer, i] > 0.0:
                    cell[C, i] = cell[OWN, i] = cell[PUSH, i] = cell[WEIGHT, i] = 0.0
        work.one[j, SHARE] = share
        speed = cells.velocity / cells.mass[j]
        pushed, summed = 0.0, 0.0
        for i in range(q.shape[1]):
            cell[C, i] *= cold
            cell[OWN, i] *= cold
            cell[PUSH, i] *= cold
            here = cell[C, i]
            e, bend = cells.decay[j, i], cells.bend[j, i]
            new = e * outlet[i] + (1.0 - e) * here + bend * (here - before[i])
            cell[RATE, i] = speed * (outlet[i] - new)
            outlet[i], before[i] = new, here
            pushed += cell[WEIGHT, i] * cell[RATE, i]
            summed += cell[RATE, i] if cells.stock[layer, i] == 0.0 else 0.0
        for i in range(q.shape[1]):
            here = cell[OWN, i] * cell[RATE, i] + cell[PUSH, i] * pushed - cell[C, i] * share * summed
            e, bend = cells.decay[j, i], cells.bend[j, i]
            rise[i] = e * rise[i] + (1.0 - e) * here + bend * (here - grown[i])
            grown[i] = here
            if cells.stock[layer, i] > 0.0:
                rise[i] += outlet[i] * cells.units[j, i] * used(cells, layer, i, cell[RATE])
    for i in range(q.shape[1]):
        outlet[i] = max(outlet[i], 0.0)  # a rounding error of what came in
