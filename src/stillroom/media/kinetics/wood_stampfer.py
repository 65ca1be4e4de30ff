"""The rate coefficient of 1993, which depends on the breakthrough; goes with `equilibrium.wood_1994`."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["rate_coefficient", "skew"]

Array = NDArray[np.float64]


def rate_coefficient(*, velocity: ArrayLike, polarisability: ArrayLike, fraction: ArrayLike) -> Array:
    """Overall adsorption rate coefficient k_v [1/s].

    Parameters
    ----------
    velocity : array_like
        Superficial velocity of the air [m/s].
    polarisability : array_like
        Molar refraction [cm³/mol].
    fraction : array_like
        Breakthrough fraction C_x/C_0, between 0 and 1 [-].

    Notes
    -----
    k_v = 1/{[1/v_L + 0.027][0.000825 + (0.063 − 0.0055 ln((C0 − Cx)/Cx))/Pe]} in 1/min, v_L in cm/s,
    [wood-stampfer-1993], from memory.

    Validity: respirator carbons of 12 × 20 mesh or so, 1–20 cm/s, breakthrough of 0.01–20 %.
    """
    x = np.asarray(fraction, float)
    resistance = 0.000825 + (0.063 - 0.0055 * np.log((1.0 - x) / x)) / np.asarray(polarisability, float)
    return np.asarray(1.0 / ((0.01 / np.asarray(velocity, float) + 0.027) * resistance) / 60.0)


def skew(*, polarisability: ArrayLike, fraction: ArrayLike, at: float = 0.1) -> Array:
    """Rate coefficient at one breakthrough fraction over that at another: a front's asymmetry (dimensionless).

    Parameters
    ----------
    polarisability : array_like
        Molar refraction [cm³/mol].
    fraction : array_like
        Breakthrough fraction C_x/C_0, between 0 and 1 [-].
    at : float
        Fraction for which the rate is known [-].

    Notes
    -----
    The ratio of two coefficients of [wood-stampfer-1993], in which the velocity drops out. A factor over one below `at`: the
    early part of the front is steeper than the symmetric one through `at`, and the first traces come later.

    Validity: as there. Against the 1 % and 10 % times of [nelson-correia-1976] it makes the first per cent too late
    (docs/theory/bed.md): nothing uses it unasked.

    Examples
    --------
    Toluene, 1 % against 10 %:

    >>> round(float(skew(polarisability=31.1, fraction=0.01)), 2)
    1.21
    """
    known = rate_coefficient(velocity=1.0, polarisability=polarisability, fraction=at)
    return np.asarray(
        rate_coefficient(velocity=1.0, polarisability=polarisability, fraction=fraction) / known
    )
