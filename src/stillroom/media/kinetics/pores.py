"""Diffusion into a grain through its wide pores: with the film in series, the least that a strong uptake
gets."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["EFFECTIVE_SHARE", "rate_coefficient"]

Array = NDArray[np.float64]

EFFECTIVE_SHARE = 0.05
"""effective diffusivity in the grain over that in air: wide pores of 0.2–0.3 of the grain, tortuosity 4–6;
from memory"""


def rate_coefficient(*, diffusivity: ArrayLike, grain_diameter: ArrayLike, void_fraction: ArrayLike) -> Array:
    """Linear-driving-force coefficient of pore diffusion per bed volume [1/s].

    Parameters
    ----------
    diffusivity : array_like
        Diffusivity of the vapour in air [m²/s].
    grain_diameter : array_like
        [m].
    void_fraction : array_like
        Void between the grains [-].

    Notes
    -----
    15 D_e/r² per grain volume, times 1 − ε: 60 (1 − ε) D_e/d², [glueckauf-1955], with D_e = 0.05 D.

    Validity: diffusion along the surface of the pores, which helps vapours held much, is left out: cautious.
    """
    effective = EFFECTIVE_SHARE * np.asarray(diffusivity, float)
    return np.asarray(
        60.0 * (1.0 - np.asarray(void_fraction, float)) * effective / np.asarray(grain_diameter, float) ** 2
    )
