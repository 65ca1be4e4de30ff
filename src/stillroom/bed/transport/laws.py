"""Equilibrium over what is held, one function for every kind of law. Compiled: import where it is used.

A law is told by a number: 0 proportional, 1 Langmuir's for mixtures, 2 tables with ideal adsorbed solution. Each gives the
pressures and their Jacobian as a diagonal and two products, ∂p_i/∂q_j = own_i δ_ij + push_i·weight_j − p_i·share.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from stillroom.media.ideal_solution import pressures_at, slopes_at
from stillroom.media.kernels import kernel

__all__ = ["Laws", "pressures", "slopes"]

Array = NDArray[np.float64]

_FULLEST = 1e-9  # share of the sites left, below which Langmuir's 1/(1 − Σθ) goes on along its tangent


class Laws(NamedTuple):
    """Each layer's law in one state of the air, for one draw."""

    kind: NDArray[np.int64]
    """(layers,)"""
    limit: Array
    """(layers, vapours), q_max [mol/kg]; used by Langmuir's alone"""
    affinity: Array
    """(layers, vapours), Langmuir's b [1/Pa], or Henry's constant [mol/(kg Pa)]"""
    grid: Array
    values: Array
    """(layers, vapours, …), of `media.tables.Tables`"""


@kernel
def _free(q: Array, limit: Array) -> tuple[float, float]:
    """1/(1 − Σθ) and its slope in Σθ."""
    free = 1.0
    for i in range(q.shape[0]):
        free -= q[i] / limit[i]
    if free < _FULLEST:
        return (2.0 - free / _FULLEST) / _FULLEST, 1.0 / _FULLEST**2
    return 1.0 / free, 1.0 / free**2


@kernel
def pressures(laws: Laws, layer: int, q: Array, guess: float, p: Array) -> float:
    """Pressures in equilibrium with the loadings of one mixture; gives a guess for the next call.

    Parameters
    ----------
    laws : Laws
        Of the bed.
    layer : int
        Which of them [-].
    q : float64, shape (vapours,)
        Loadings; below zero the pressure goes on in proportion, but by tables, where it is none [mol/kg].
    guess : float64
        What a call nearby gave, or nan [-].
    p : float64, shape (vapours,)
        Written [Pa].
    """
    if laws.kind[layer] == 2:
        return float(pressures_at(q, laws.grid[layer], laws.values[layer], guess, p))
    if laws.kind[layer] == 1:
        more, _rise = _free(q, laws.limit[layer])
        for i in range(q.shape[0]):
            p[i] = q[i] / (laws.limit[layer, i] * laws.affinity[layer, i]) * more
    else:
        for i in range(q.shape[0]):
            p[i] = q[i] / laws.affinity[layer, i]
    return math.nan


@kernel
def slopes(
    laws: Laws, layer: int, q: Array, guess: float, p: Array, own: Array, push: Array, weight: Array
) -> tuple[float, float]:
    """`pressures` with the Jacobian; gives the guess and `share` [kg/mol].

    Parameters
    ----------
    laws : Laws
        Of the bed.
    layer : int
        Which of them [-].
    q : float64, shape (vapours,)
        Loadings, none below zero [mol/kg].
    guess : float64
        What a call nearby gave, or nan [-].
    p : float64, shape (vapours,)
        Written [Pa].
    own, push, weight : float64, shape (vapours,)
        Written: own [Pa kg/mol], push [Pa], weight [kg/mol].
    """
    n = q.shape[0]
    if laws.kind[layer] == 2:
        s = slopes_at(q, laws.grid[layer], laws.values[layer], guess, p, own, push, weight)
        amount = 0.0
        for i in range(n):
            amount += max(q[i], 0.0)
        return float(s), 1.0 / amount if amount > 0.0 else 0.0
    if laws.kind[layer] == 1:
        more, rise = _free(q, laws.limit[layer])
        for i in range(n):
            one = q[i] / (laws.limit[layer, i] * laws.affinity[layer, i])
            p[i] = one * more
            own[i] = more / (laws.limit[layer, i] * laws.affinity[layer, i])
            push[i] = one * rise
            weight[i] = 1.0 / laws.limit[layer, i]
    else:
        for i in range(n):
            p[i] = q[i] / laws.affinity[layer, i]
            own[i] = 1.0 / laws.affinity[layer, i]
            push[i] = 0.0
            weight[i] = 0.0
    return math.nan, 0.0
