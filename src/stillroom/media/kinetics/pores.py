"""Diffusion into a grain through the air in its wide pores."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.units import GAS_CONSTANT

__all__ = ["EFFECTIVE_SHARE", "bosanquet", "effective", "glueckauf", "knudsen", "rate_coefficient"]

Array = NDArray[np.float64]

EFFECTIVE_SHARE = 0.05
"""effective diffusivity in the grain over that in air: wide pores of 0.2–0.3 of the grain, tortuosity 4–6;
from memory"""


def knudsen(*, pore_radius: ArrayLike, molar_mass: ArrayLike, temperature: ArrayLike) -> Array:
    """Diffusivity in a pore narrower than the free path, D_K = (2r/3) √(8RT/πM) [m²/s].

    Parameters
    ----------
    pore_radius : array_like
        [m].
    molar_mass : array_like
        [g/mol].
    temperature : array_like
        [K].

    Notes
    -----
    Kinetic theory of gases [knudsen-1909].

    Validity: radius well under the free path of air, 0.07 µm; towards it `bosanquet`. Not for micropores, where walls attract.

    Examples
    --------
    97 r √(T/M), as textbooks print it in these units:

    >>> round(float(knudsen(pore_radius=1.0, molar_mass=1.0, temperature=1.0)), 1)
    97.0
    """
    speed = np.sqrt(
        8.0 * GAS_CONSTANT * np.asarray(temperature, float) / (np.pi * np.asarray(molar_mass, float) * 1e-3)
    )
    return np.asarray(2.0 / 3.0 * np.asarray(pore_radius, float) * speed)


def bosanquet(molecular: ArrayLike, *, knudsen: ArrayLike) -> Array:
    """Diffusivity in a pore of any width, 1/D = 1/D_m + 1/D_K [m²/s].

    Parameters
    ----------
    molecular : array_like
        Diffusivity in free air [m²/s].
    knudsen : array_like
        As above [m²/s].

    Notes
    -----
    [pollard-present-1948]: exact for equal molecules, and for a trace.
    """
    return np.asarray(1.0 / (1.0 / np.asarray(molecular, float) + 1.0 / np.asarray(knudsen, float)))


def effective(diffusivity: ArrayLike, *, porosity: ArrayLike, tortuosity: ArrayLike) -> Array:
    """Effective diffusivity over the cross-section of a grain, D_e = ε_p D/τ [m²/s].

    Parameters
    ----------
    diffusivity : array_like
        In its pores [m²/s].
    porosity : array_like
        Share of the grain's volume in wide pores [-].
    tortuosity : array_like
        [-].
    """
    return np.asarray(
        np.asarray(porosity, float) * np.asarray(diffusivity, float) / np.asarray(tortuosity, float)
    )


def glueckauf(effective: ArrayLike, *, grain_diameter: ArrayLike, void_fraction: ArrayLike) -> Array:
    """Linear driving force into a sphere, per bed volume: 15 (1 − ε) D_e/r² = 60 (1 − ε) D_e/d² [1/s].

    Parameters
    ----------
    effective : array_like
        Effective diffusivity on the air's side [m²/s].
    grain_diameter : array_like
        [m].
    void_fraction : array_like
        Void between the grains [-].

    Notes
    -----
    [glueckauf-1955].

    Validity: grains that have filled for longer than d²/(40 D_a), D_a the diffusivity over the capacity ratio, and beds of some units;
    a fresh grain takes up faster (docs/theory/bed.md).
    """
    void = np.asarray(void_fraction, float)
    return np.asarray(
        60.0 * (1.0 - void) * np.asarray(effective, float) / np.asarray(grain_diameter, float) ** 2
    )


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
    `glueckauf` with D_e = 0.05 D. With the film in series it is the least that an uptake which is not hindered gets.

    Validity: diffusion along the surface of the pores, which helps vapours held much, is left out: cautious.
    """
    return glueckauf(
        EFFECTIVE_SHARE * np.asarray(diffusivity, float),
        grain_diameter=grain_diameter,
        void_fraction=void_fraction,
    )
