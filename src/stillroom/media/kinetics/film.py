"""Mass transfer through the gas film about a grain: no adsorption is faster."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.units import GAS_CONSTANT

__all__ = ["petrovic_thodos", "rate_coefficient", "reynolds", "schmidt", "wakao_funazkri"]

Array = NDArray[np.float64]

_AIR_VISCOSITY = 1.825e-5  # dynamic viscosity of air at 20 °C [Pa·s], from memory
_MOLAR_MASS_AIR = 0.028965  # [kg/mol]


def _density(temperature: ArrayLike, pressure: ArrayLike) -> Array:
    """Of air [kg/m³]."""
    return np.asarray(
        np.asarray(pressure, float) * _MOLAR_MASS_AIR / (GAS_CONSTANT * np.asarray(temperature, float))
    )


def reynolds(
    *, velocity: ArrayLike, grain_diameter: ArrayLike, temperature: ArrayLike, pressure: ArrayLike
) -> Array:
    """Reynolds number of a grain, with the superficial velocity (dimensionless).

    Parameters
    ----------
    velocity : array_like
        Superficial velocity of the air [m/s].
    grain_diameter : array_like
        [m].
    temperature, pressure : array_like
        State of the air [K], [Pa].
    """
    flux = _density(temperature, pressure) * np.asarray(velocity, float)
    return np.asarray(flux * np.asarray(grain_diameter, float) / _AIR_VISCOSITY)


def schmidt(*, diffusivity: ArrayLike, temperature: ArrayLike, pressure: ArrayLike) -> Array:
    """Schmidt number of a trace of vapour in air (dimensionless).

    Parameters
    ----------
    diffusivity : array_like
        Of the vapour in air [m²/s].
    temperature, pressure : array_like
        State of the air [K], [Pa].
    """
    return np.asarray(_AIR_VISCOSITY / (_density(temperature, pressure) * np.asarray(diffusivity, float)))


def wakao_funazkri(reynolds: Array, schmidt: Array, void_fraction: Array) -> Array:
    """Sherwood number of a grain in a bed, Sh = 2 + 1.1 Sc^(1/3) Re^0.6 (dimensionless).

    Parameters
    ----------
    reynolds, schmidt : ndarray
        [-].
    void_fraction : ndarray
        Not used: the correlation holds for packed beds of about 0.4 [-].

    Notes
    -----
    [wakao-funazkri-1978]. Made from data from which mixing along the bed was taken off: it goes with
    `kinetics.dispersion`, and a bed computed without that is too sharp.

    Validity: Re 3–10 000; below 3 the value stands (Sh ≥ 2) and is uncertain.
    """
    return np.asarray(2.0 + 1.1 * np.cbrt(schmidt) * reynolds**0.6)


def petrovic_thodos(reynolds: Array, schmidt: Array, void_fraction: Array) -> Array:
    """Sherwood number of a grain in a bed, Sh = (0.357/ε) Re^0.641 Sc^(1/3) (dimensionless).

    Parameters
    ----------
    reynolds, schmidt : ndarray
        [-].
    void_fraction : ndarray
        Void between the grains [-].

    Notes
    -----
    [petrovic-thodos-1968], ε j_D = 0.357 Re^−0.359, constant and exponent from memory. It falls to nothing in still air.

    Validity: gases, Re 3–230 of the data (2000 as often quoted).
    """
    return np.asarray(0.357 / void_fraction * reynolds**0.641 * np.cbrt(schmidt))


def rate_coefficient(
    *,
    velocity: ArrayLike,
    grain_diameter: ArrayLike,
    diffusivity: ArrayLike,
    void_fraction: ArrayLike,
    temperature: ArrayLike = 295.15,
    pressure: ArrayLike = 101325.0,
    sherwood: Callable[[Array, Array, Array], Array] = wakao_funazkri,
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
    sherwood : callable
        A correlation of this module: Sherwood number from Reynolds, Schmidt and void fraction [-].

    Notes
    -----
    k_f a = Sh D/d · 6(1 − ε)/d.

    Validity: that of the correlation.
    """
    d, diff, void = (np.asarray(x, float) for x in (grain_diameter, diffusivity, void_fraction))
    number = sherwood(
        reynolds(velocity=velocity, grain_diameter=d, temperature=temperature, pressure=pressure),
        schmidt(diffusivity=diff, temperature=temperature, pressure=pressure),
        void,
    )
    return np.asarray(number * diff / d * 6.0 * (1.0 - void) / d)
