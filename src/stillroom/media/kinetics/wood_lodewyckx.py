"""Overall rate coefficient of organic vapours in beds of activated carbon."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["rate_coefficient"]

Array = NDArray[np.float64]


def rate_coefficient(
    *,
    affinity: ArrayLike,
    velocity: ArrayLike,
    grain_diameter: ArrayLike,
    loading: ArrayLike,
    molar_mass: ArrayLike,
) -> Array:
    """Overall adsorption rate coefficient k_v [1/s].

    Parameters
    ----------
    affinity : array_like
        Affinity coefficient β relative to benzene [-].
    velocity : array_like
        Superficial velocity of the air [m/s].
    grain_diameter : array_like
        Mean grain diameter [m].
    loading : array_like
        Equilibrium loading W_e [g/g].
    molar_mass : array_like
        [g/mol].

    Notes
    -----
    k_v = 800 β^0.33 v_L^0.75 d_p^−1.5 √(W_e/M_w) in 1/min with v_L in cm/s and d_p in cm,
    [wood-lodewyckx-2003], constant and exponents from memory.

    Validity: respirator cartridges, 1–40 cm/s, grains of 0.6–2 mm, tens to thousands of ppm (from memory).
    At ppb the loading is far below the correlated data; the caller bounds it by `kinetics.film` above and by
    film and `kinetics.pores` in series below.

    Examples
    --------
    Toluene at 1000 ppm on 1.5 mm grains at 20 cm/s, order of thousands a minute:

    >>> case = dict(affinity=1.16, velocity=0.2, grain_diameter=1.5e-3, loading=0.3, molar_mass=92.14)
    >>> round(float(rate_coefficient(**case)) * 60, -2)
    7800.0
    """
    per_minute = (
        800.0
        * np.asarray(affinity, float) ** 0.33
        * (np.asarray(velocity, float) * 100.0) ** 0.75
        * (np.asarray(grain_diameter, float) * 100.0) ** -1.5
        * np.sqrt(np.asarray(loading, float) / np.asarray(molar_mass, float))
    )
    return np.asarray(per_minute / 60.0)
