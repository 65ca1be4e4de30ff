"""Dust from solids: the little that handling and a break send to the particulate filter."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["handling_dust", "spilled_dust"]

Array = NDArray[np.float64]
_WEEK = 7 * 86400.0


def handling_dust(per_opening: ArrayLike, *, openings_per_week: float, mass_fraction: float = 1.0) -> Array:
    """Dust of one substance from opening a bottle of powder, averaged over the week [kg/s].

    Parameters
    ----------
    per_opening : array_like
        Airborne mass an opening [kg].
    openings_per_week : float
        [-]
    mass_fraction : float
        Of the substance in the powder [-].

    Validity
    --------
    Powders; coarse crystals and lumps give less.

    Notes
    -----
    Plain average.
    """
    return np.asarray(np.asarray(per_opening, float) * openings_per_week * mass_fraction / _WEEK)


def spilled_dust(mass: float, *, airborne_fraction: ArrayLike, mass_fraction: float = 1.0) -> Array:
    """Dust of one substance in the air after a bottle of powder broke [kg].

    Parameters
    ----------
    mass : float
        Contents of the bottle [kg].
    airborne_fraction : array_like
        Share that becomes airborne [-].
    mass_fraction : float
        Of the substance in the powder [-].

    Validity
    --------
    Falls below 3 m, dry powder.

    Notes
    -----
    DOE-HDBK-3010-94, free-fall spill of powder [doe-hdbk-3010].
    """
    return np.asarray(mass * np.asarray(airborne_fraction, float) * mass_fraction)
