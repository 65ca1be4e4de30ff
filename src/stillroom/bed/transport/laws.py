"""Equilibrium over what is held, by each kind of law. Compiled: import where it is used.

A law gives the pressures and their Jacobian as a diagonal and two products, ∂p_i/∂q_j = own_i δ_ij + push_i·weight_j −
p_i·share, in rows C, OWN, PUSH and WEIGHT of what a cell remembers. Its kind is a number:

- SITES, Langmuir's law for mixtures: p_i = q_i over_i/(1 − Σ crowd_j q_j), crowd = 1/q_max and over = 1/(q_max b); with no
  crowd, a proportional law for each vapour. Share is nought.
- TABLES: ideal adsorbed solution theory.

Who marches asks for the kind and calls one or the other: a call takes as long as its arrays are many, and these are short.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from stillroom.media.ideal_solution import pressures_at, slopes_at
from stillroom.media.kernels import kernel

__all__ = [
    "NOTHING",
    "OWN",
    "PUSH",
    "SITES",
    "TABLES",
    "WEIGHT",
    "C",
    "Laws",
    "site_pressures",
    "site_slopes",
    "table_pressures",
    "table_slopes",
]

Array = NDArray[np.float64]

SITES, TABLES = 0, 1
C, OWN, PUSH, WEIGHT = 0, 1, 2, 3  # rows of what a cell remembers
NOTHING = 1e-150  # a loading that stands for none: products of two such must not lose themselves [mol/kg]
_FULLEST = 1e-9  # share of the sites left, below which 1/(1 − Σθ) goes on along its tangent


class Laws(NamedTuple):
    """Each layer's law in one state of the air, for one draw."""

    kind: NDArray[np.int64]
    """(layers,)"""
    crowd: Array
    """(layers, vapours) [kg/mol]"""
    over: Array
    """(layers, vapours) [Pa kg/mol]"""
    grid: Array
    values: Array
    """(layers, vapours, …), of `media.tables.Tables`"""


@kernel
def _free(crowd: Array, layer: int, q: Array) -> tuple[float, float]:
    """1/(1 − Σθ) and its slope in Σθ."""
    free = 1.0
    for i in range(q.shape[0]):
        free -= q[i] * crowd[layer, i]
    if free < _FULLEST:
        return (2.0 - free / _FULLEST) / _FULLEST, 1.0 / _FULLEST**2
    more = 1.0 / free
    return more, more * more


@kernel
def site_pressures(crowd: Array, over: Array, layer: int, q: Array, p: Array) -> None:
    """Pressures in equilibrium with the loadings of one mixture, on sites.

    Parameters
    ----------
    crowd, over : float64, shape (layers, vapours)
        Of `Laws` [kg/mol], [Pa kg/mol].
    layer : int
        Which [-].
    q : float64, shape (vapours,)
        Loadings; below zero the pressure goes on in proportion [mol/kg].
    p : float64, shape (vapours,)
        Written [Pa].
    """
    more, _rise = _free(crowd, layer, q)
    for i in range(q.shape[0]):
        p[i] = q[i] * over[layer, i] * more


@kernel
def site_slopes(crowd: Array, over: Array, layer: int, q: Array, cell: Array) -> None:
    """`site_pressures` with the Jacobian.

    Parameters
    ----------
    crowd, over : float64, shape (layers, vapours)
        Of `Laws` [kg/mol], [Pa kg/mol].
    layer : int
        Which [-].
    q : float64, shape (vapours,)
        Loadings, none below zero [mol/kg].
    cell : float64, shape (rows, vapours)
        Written: p [Pa], own [Pa kg/mol], push [Pa], weight [kg/mol].
    """
    more, rise = _free(crowd, layer, q)
    for i in range(q.shape[0]):
        own = over[layer, i] * more
        cell[C, i] = q[i] * own
        cell[OWN, i] = own
        cell[PUSH, i] = q[i] * over[layer, i] * rise
        cell[WEIGHT, i] = crowd[layer, i]


@kernel
def table_slopes(
    grid: Array, values: Array, layer: int, q: Array, guess: float, cell: Array
) -> tuple[float, float]:
    """By tables, pressures with the Jacobian; gives a guess for calls nearby, and share [kg/mol].

    Parameters
    ----------
    grid, values : float64, shape (layers, vapours, …)
        Of `Laws` [-].
    layer : int
        Which [-].
    q : float64, shape (vapours,)
        Loadings, none below zero [mol/kg].
    guess : float64
        What a call nearby gave, or nan [-].
    cell : float64, shape (rows, vapours)
        Written: p [Pa], own [Pa kg/mol], push [Pa], weight [kg/mol].
    """
    s = slopes_at(q, grid[layer], values[layer], guess, cell[C], cell[OWN], cell[PUSH], cell[WEIGHT])
    amount = 0.0
    for i in range(q.shape[0]):
        amount += max(q[i], 0.0)
    return s, 1.0 / amount if amount > 0.0 else 0.0


@kernel
def table_pressures(grid: Array, values: Array, layer: int, q: Array, guess: float, p: Array) -> None:
    """By tables, pressures alone.

    Parameters
    ----------
    grid, values : float64, shape (layers, vapours, …)
        Of `Laws` [-].
    layer : int
        Which [-].
    q : float64, shape (vapours,)
        Loadings; zero or less is absent; what is nothing is made zero [mol/kg].
    guess : float64
        What a call nearby gave, or nan [-].
    p : float64, shape (vapours,)
        Written [Pa].
    """
    for i in range(q.shape[0]):
        if q[i] < NOTHING:
            q[i] = 0.0
    pressures_at(q, grid[layer], values[layer], guess, p)
