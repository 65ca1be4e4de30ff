"""Along the bed: the gas at any time, by an exponential step a cell. Compiled.

In a cell of N transfer units, c* of its mean loading with a slope from the cell before it, m = ρ_b Δz::

    c_out = E c_in + (1 − E + φ) c* − φ c*_before      E = e^{−N}, φ = (1 + E)/2 − (1 − E)/N, not over E
    dq/dt = (u/m)(c_in − c_out)

Every weight with which the inlet and the cells reach an outlet is above zero and they sum to one, so no concentration
leaves the range of what comes in and what stands over the grains. The gas follows from the loadings alone.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from stillroom.bed.transport.laws import OWN, PUSH, TABLES, WEIGHT, C, Laws, site_slopes, table_slopes
from stillroom.media.kernels import kernel

__all__ = ["Cells", "Work", "look", "weights"]

Array = NDArray[np.float64]

DIAGONAL, FIRST, SECOND, U = 4, 5, 6, 7  # rows of Work.cell, after those of the laws
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
def weights(
    layer: NDArray[np.int64], depth: Array, rates: Array, velocity: float, decay: Array, bend: Array
) -> None:
    """E and φ of each cell and vapour.

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
    decay, bend : float64, shape (cells, vapours)
        Written: E, φ [-].
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
            decay[j, i] = e
            bend[j, i] = near * min(curve, e)


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
    before, grown, f = work.row[0], work.row[1], work.row[2]
    for i in range(q.shape[1]):
        outlet[i], rise[i] = inlet[i], 0.0
        before[i] = grown[i] = 0.0
    for j in range(q.shape[0]):
        layer = cells.layer[j]
        cell = work.cell[j]
        share = 0.0
        if laws.kind[layer] == TABLES:
            work.one[j, GUESS], share = table_slopes(
                laws.grid, laws.values, layer, q[j], work.one[j, GUESS], cell
            )
        else:
            site_slopes(laws.crowd, laws.over, layer, q[j], cell)
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
            f[i] = speed * (outlet[i] - new)
            outlet[i], before[i] = new, here
            pushed += cell[WEIGHT, i] * f[i]
            summed += f[i]
        for i in range(q.shape[1]):
            here = cell[OWN, i] * f[i] + cell[PUSH, i] * pushed - cell[C, i] * share * summed
            e, bend = cells.decay[j, i], cells.bend[j, i]
            rise[i] = e * rise[i] + (1.0 - e) * here + bend * (here - grown[i])
            grown[i] = here
    for i in range(q.shape[1]):
        outlet[i] = max(outlet[i], 0.0)  # a rounding error of what came in
