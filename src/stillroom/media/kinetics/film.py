"""Mass transfer through the gas film about a grain: no adsorption is faster."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["rate_coefficient"]

Array = NDArray[np.float64]

_AIR_VISCOSITY = 1.825e-5  # kinematic × density: dynamic viscosity of air at 20 °C [Pa·s], from memory
_MOLAR_MASS_AIR = 0.028965  # [kg/mol]
_R = 8.31446261815324


def rate_coefficient(
    *,
    velocity: ArrayLike,
    grain_diameter: ArrayLike,
    diffusivity: ArrayLike,
    void_fraction: ArrayLike,
    temperature: ArrayLike = 295.15,
    pressure: ArrayLike = 101325.0,
) -> Array:
    """Film coefficient times outer grain area per bed volume, k_f a [1/s].

    Parameters
    ----------
    velocity : array_like
        Superficial velocity of the air [m/s].
    grain_diameter : array_like
        Diameter of a sphere of the same outer area per volume [m].
    diffusivity : array_like
        Diffusivity of the vapour in air [m²/s].
    void_fraction : array_like
        Void between the grains [-].
    temperature, pressure : array_like
        State of the air [K], [Pa].

    Notes
    -----
    Sh = 2 + 1.1 Sc^(1/3) Re^0.6, a = 6(1 − ε)/d, [wakao-funazkri-1978].

    Validity: Re 3–10 000; below 3 the value stands (Sh ≥ 2) and is uncertain.
    """
    u, d, diff = (np.asarray(x, float) for x in (velocity, grain_diameter, diffusivity))
    density = np.asarray(pressure, float) * _MOLAR_MASS_AIR / (_R * np.asarray(temperature, float))
    reynolds = density * u * d / _AIR_VISCOSITY
    schmidt = _AIR_VISCOSITY / (density * diff)
    sherwood = 2.0 + 1.1 * np.cbrt(schmidt) * reynolds**0.6
    return np.asarray(sherwood * diff / d * 6.0 * (1.0 - np.asarray(void_fraction, float)) / d)
