"""Laws of volume filling: ln(W/W0) against the adsorption potential, each with a Henry limit.

Measured at hundreds of ppm, asked at ppb: where data end, laws that fit them alike part. Three are kept, and a
prediction draws from all of them:

- *Dubinin–Astakhov*: W/W0 = exp(−(A/E)^n), carried on along its tangent where d ln W/d ln p reaches one. The tail of
  its energies has no end: as high as any carbon that was measured holds.
- *bounded Dubinin–Astakhov*: the same, with Henry's law from A = 1.2 E on: no pore is narrower than that.
- *uniform energies*: Langmuir's law on energies spread evenly over E(1 − k) … E(1 + k) (Honig & Reyerson 1952).

`energy` is E0 of the carbon times the vapour's affinity; `shape` is n, n, k.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["LAWS", "RADUSHKEVICH", "Law", "astakhov", "bounded_astakhov", "uniform_energies"]

Array = NDArray[np.float64]

BOUND = 1.2
"""Potential over E from which the bounded law is proportional to p [-]."""


def astakhov(potential: Array, energy: Array, shape: Array, thermal: Array, bound: float = np.inf) -> Array:
    """ln(W/W0) after Dubinin & Astakhov (dimensionless).

    Parameters
    ----------
    potential, energy : ndarray
        A = RT ln(p_sat/p), not below zero, and E [kJ/mol].
    shape : ndarray
        Exponent n [-].
    thermal : ndarray
        RT [kJ/mol].
    bound : float
        A/E beyond which Henry's law carries on at the latest [-].

    Notes
    -----
    [dubinin-1960] for n = 2. The tangent touches at A = E (E/(n RT))^(1/(n−1)); with n ≤ 1 the slope never reaches
    one from below and `bound` alone ends the law.

    Validity: organic vapours on microporous carbons.
    """
    with np.errstate(over="ignore"):
        tangent = np.where(
            shape > 1.02,
            np.exp(np.minimum(np.log(energy / (shape * thermal)) / np.maximum(shape - 1.0, 0.02), 50.0)),
            np.inf,
        )
    last = energy * np.minimum(tangent, bound)
    inside = np.minimum(potential, last)
    return np.asarray(-((inside / energy) ** shape) - (potential - inside) / thermal)


def bounded_astakhov(potential: Array, energy: Array, shape: Array, thermal: Array) -> Array:
    """`astakhov` with Henry's law from A = 1.2 E on (dimensionless).

    Parameters
    ----------
    potential, energy, thermal : ndarray
        As there [kJ/mol].
    shape : ndarray
        Exponent n [-].
    """
    return astakhov(potential, energy, shape, thermal, BOUND)


def uniform_energies(potential: Array, energy: Array, shape: Array, thermal: Array) -> Array:
    """ln(W/W0) where adsorption energies are spread evenly over E(1 − k) … E(1 + k) (dimensionless).

    Parameters
    ----------
    potential, energy, thermal : ndarray
        As in `astakhov` [kJ/mol].
    shape : ndarray
        k, half the spread over the mean [-].

    Notes
    -----
    [honig-reyerson-1952]: W/W0 = ln((1 + e^(y+w))/(1 + e^(y−w)))/2w, with y = (E − A)/RT and w = kE/RT. Henry's law at
    low pressure, full pores at high.
    """
    centre = (energy - potential) / thermal
    half = shape * energy / thermal
    upper, lower = np.logaddexp(0.0, centre + half), np.logaddexp(0.0, centre - half)
    # at low filling the difference cancels: ln(1+x) − ln(1+y) → log1p((x − y)/(1 + y))
    small = centre + half < -30.0
    with np.errstate(divide="ignore"):
        usual = np.log(np.maximum(upper - lower, 1e-300))
    tail = centre + half + np.log(-np.expm1(-2.0 * half))
    return np.asarray(np.where(small, tail, usual) - np.log(2.0 * half))


@dataclass(frozen=True, slots=True)
class Law:
    """One law, with what carbons are like before any is measured."""

    name: str
    log_filling: Callable[[Array, Array, Array, Array], Array]
    energy: tuple[float, float]
    """median of E0 of benzene [kJ/mol] and its spread in ln"""
    shape: tuple[float, float]
    """median of the shape [-] and its spread in ln"""
    weight: float
    """share of the draws"""


LAWS = (
    Law("astakhov", astakhov, (20.0, 0.3), (2.0, 0.3), 0.3),
    Law("bounded astakhov", bounded_astakhov, (20.0, 0.3), (2.0, 0.3), 0.3),
    Law("uniform energies", uniform_energies, (16.0, 0.4), (0.7, 0.3), 0.4),
)
RADUSHKEVICH = Law("radushkevich", astakhov, (20.0, 0.3), (2.0, 1e-6), 1.0)
"""The exponent held at two: by which assessments take a medium, and the peer of the laws above."""
