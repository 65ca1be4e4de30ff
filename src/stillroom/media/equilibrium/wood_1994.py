"""The 1994 form of the Dubinin–Radushkevich capacity, with fixed constants of one respirator carbon.

Kept because its published tables can be recomputed to the minute; new work uses `dubinin`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["COEFFICIENT", "MICROPORE_VOLUME", "loading"]

Array = NDArray[np.float64]

COEFFICIENT = 3.56e-5
"""b′ with R in cal/(mol·K), W0 in cm³/g, Pe in cm³/mol; [wood-1994], from memory"""
MICROPORE_VOLUME = 0.454
"""W0 of the carbon of the published tables [cm³/g], [wood-1994], from memory"""
_R_CAL = 1.987  # cal/(mol K)


def loading(
    *,
    pressure: ArrayLike,
    saturation_pressure: ArrayLike,
    polarisability: ArrayLike,
    liquid_density: ArrayLike,
    temperature: ArrayLike,
) -> Array:
    """Equilibrium loading W_e [g/g].

    Parameters
    ----------
    pressure, saturation_pressure : array_like
        Partial and saturation pressure, the same unit, [Pa].
    polarisability : array_like
        Molar refraction [cm³/mol].
    liquid_density : array_like
        [g/cm³].
    temperature : array_like
        [K].

    Notes
    -----
    W_e = W0 d_L exp(−b′ W0 Pe^−1.8 R²T² ln²(p/p_sat)), [wood-1994].

    Validity: organic vapours at 50–1000 ppm, 22 °C, relative humidity ≤ 50 %; against the cartridges
    measured in 1976 [nelson-correia-1976] it is 22–41 % low for most vapours.
    """
    logarithm = np.log(np.asarray(pressure, float) / np.asarray(saturation_pressure, float))
    exponent = (
        COEFFICIENT
        * MICROPORE_VOLUME
        * np.asarray(polarisability, float) ** -1.8
        * (_R_CAL * np.asarray(temperature, float) * logarithm) ** 2
    )
    return np.asarray(MICROPORE_VOLUME * np.asarray(liquid_density, float) * np.exp(-exponent))
