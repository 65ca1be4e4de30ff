"""Diffusion of what is held, along the walls of the pores."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.units import GAS_CONSTANT

__all__ = ["effective", "sladek"]

Array = NDArray[np.float64]

_CONDUCTOR = 2.0  # m of a conducting solid such as carbon; 1 for an insulator


def sladek(*, heat: ArrayLike, temperature: ArrayLike, bond: float = _CONDUCTOR) -> Array:
    """Surface diffusivity from the heat of adsorption, 1.6e-6 exp(−0.45 Q/(m R T)) [m²/s].

    Parameters
    ----------
    heat : array_like
        Isosteric heat of adsorption Q [J/mol]; by the potential theory that of evaporation plus A.
    temperature : array_like
        [K].
    bond : float
        m: 2 on a conducting solid (carbon), 1 on an insulating one [-].

    Notes
    -----
    [sladek-1974], constants and m from memory, as handbooks quote them.

    Validity: about thirty pairs of gas and solid, most of them below a layer and with wide pores, within a factor of ten or so. In the
    micropores of activated carbon vapours are slower (1e-12–1e-10 m²/s for benzene and toluene at room temperature, from memory):
    `kinetics.rate` takes a share of it.
    """
    ratio = np.asarray(heat, float) / (GAS_CONSTANT * np.asarray(temperature, float))
    return np.asarray(1.6e-6 * np.exp(-0.45 * ratio / bond))


def effective(diffusivity: ArrayLike, *, grain_density: ArrayLike, slope: ArrayLike) -> Array:
    """What diffusion along the walls is worth on the air's side, ρ_p D_s dq/dc [m²/s].

    Parameters
    ----------
    diffusivity : array_like
        Of what is held [m²/s].
    grain_density : array_like
        Of a grain, wide pores included: bulk density over 1 − ε [kg/m³].
    slope : array_like
        dq/dc of the isotherm [m³/kg]. For a front that comes on a fresh bed the chord q/c: with a mobility in place of a diffusivity
        (Darken) that is what the flux goes by, too.
    """
    return np.asarray(
        np.asarray(grain_density, float) * np.asarray(diffusivity, float) * np.asarray(slope, float)
    )
