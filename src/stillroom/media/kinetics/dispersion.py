"""Mixing of the air along the bed, as one more resistance in series."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["edwards_richardson", "rate_coefficient"]

Array = NDArray[np.float64]


def edwards_richardson(
    *, velocity: ArrayLike, grain_diameter: ArrayLike, diffusivity: ArrayLike, void_fraction: ArrayLike
) -> Array:
    """Axial dispersion coefficient of the air between the grains [m²/s].

    Parameters
    ----------
    velocity : array_like
        Superficial velocity of the air [m/s].
    grain_diameter : array_like
        [m].
    diffusivity : array_like
        Of the vapour in air [m²/s].
    void_fraction : array_like
        Void between the grains [-].

    Notes
    -----
    D_ax = 0.73 D + 0.5 d v/(1 + 9.7 D/(d v)), v = u/ε, [edwards-richardson-1968], constants from memory.

    Validity: gases, grains of 0.4–6 mm, Re 0.01–50. Beds narrower than some ten grains, uneven packing and the wall add to it.
    """
    diff = np.asarray(diffusivity, float)
    turn = np.asarray(grain_diameter, float) * np.asarray(velocity, float) / np.asarray(void_fraction, float)
    # d v/(1 + 9.7 D/(d v)), without a division by nothing in still air
    return np.asarray(0.73 * diff + 0.5 * turn**2 / (turn + 9.7 * diff))


def rate_coefficient(
    *, velocity: ArrayLike, grain_diameter: ArrayLike, diffusivity: ArrayLike, void_fraction: ArrayLike
) -> Array:
    """Rate coefficient that widens a front as mixing along the bed does [1/s].

    Parameters
    ----------
    velocity : array_like
        Superficial velocity of the air, above zero [m/s].
    grain_diameter : array_like
        [m].
    diffusivity : array_like
        Of the vapour in air [m²/s].
    void_fraction : array_like
        Void between the grains [-].

    Notes
    -----
    k = u²/(ε D_ax): a bed of depth L then has N = kL/u = uL/(ε D_ax) units. Variances of a front on a proportional isotherm
    add, 2/N each [ruthven-1984]; so do the widths of steady fronts, nearly. In a fresh bed, where uptake is of first order, the
    exact exponent is (u/2εD_ax)(√(1 + 4κ) − 1) with κ = k_film/k; k_film in series with k is its first term in κ and lets more
    through.

    Validity: N over 5 or so.
    """
    mixing = edwards_richardson(
        velocity=velocity, grain_diameter=grain_diameter, diffusivity=diffusivity, void_fraction=void_fraction
    )
    return np.asarray(np.asarray(velocity, float) ** 2 / (np.asarray(void_fraction, float) * mixing))
