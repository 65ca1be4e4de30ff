"""Dubinin–Radushkevich: volume filling of micropores, with a Henry limit and affinity from polarisability.

A = RT ln(p_sat/p) [J/mol], E = β E0, and with A_h = E²/(2RT) (where the curve's log-log slope reaches one)::

    W = W0 exp(−(A/E)²)                          A ≤ A_h
    W = W0 exp(−(A_h/E)²) exp(−(A − A_h)/RT)     A > A_h    (proportional to p: Henry)
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.units import GAS_CONSTANT

__all__ = [
    "BENZENE_POLARISABILITY",
    "affinity",
    "filled_volume",
    "henry_potential",
    "log_slope",
    "potential",
    "potential_at_spreading",
    "spreading",
]

Array = NDArray[np.float64]

BENZENE_POLARISABILITY = 26.26
"""Molar refraction of benzene [cm³/mol]: (n²−1)/(n²+2)·M/ρ, 20 °C, n_D 1.5011, M 78.11, ρ 0.8765 g/cm³."""


def affinity(polarisability: ArrayLike) -> Array:
    """Affinity coefficient β relative to benzene (dimensionless).

    Parameters
    ----------
    polarisability : array_like
        Molar refraction (n²−1)/(n²+2)·M/ρ [cm³/mol].

    Notes
    -----
    β = (Pe/Pe_benzene)^0.9, [wood-2001]. Made for organic vapours on carbons of many kinds.

    Validity: scatter of single vapours about the rule is about 10 % in β; polar vapours (alcohols, water)
    stand below it. `stillroom.media.scatter` carries that.

    Examples
    --------
    [wood-2001] lists 1.16–1.28 for toluene after several authors; its molar refraction is 31.1 cm³/mol.

    >>> round(float(affinity(31.1)), 2)
    1.16
    """
    return np.asarray((np.asarray(polarisability, float) / BENZENE_POLARISABILITY) ** 0.9)


def potential(*, pressure: ArrayLike, saturation_pressure: ArrayLike, temperature: ArrayLike) -> Array:
    """Adsorption potential A = RT ln(p_sat/p) [J/mol], negative above saturation.

    Parameters
    ----------
    pressure, saturation_pressure : array_like
        Partial and saturation pressure of the vapour, above zero [Pa].
    temperature : array_like
        Temperature [K].
    """
    ratio = np.asarray(saturation_pressure, float) / np.asarray(pressure, float)
    return np.asarray(GAS_CONSTANT * np.asarray(temperature, float) * np.log(ratio))


def henry_potential(*, energy: ArrayLike, temperature: ArrayLike) -> Array:
    """Potential A_h = E²/(2RT) beyond which Henry's law carries on [J/mol].

    Parameters
    ----------
    energy : array_like
        Characteristic energy E = β E0 of the vapour [J/mol].
    temperature : array_like
        Temperature [K].

    Notes
    -----
    d ln W/d ln p = 2ART/E² reaches one there; a steeper curve would be unphysical at low loading.
    """
    return np.asarray(np.asarray(energy, float) ** 2 / (2.0 * GAS_CONSTANT * np.asarray(temperature, float)))


def filled_volume(
    *, potential: ArrayLike, energy: ArrayLike, temperature: ArrayLike, limit: ArrayLike = 1.0
) -> Array:
    """Liquid volume W held, in the unit of `limit` (the fraction W/W0 by default).

    Parameters
    ----------
    potential : array_like
        Adsorption potential A [J/mol]; below zero the pores are full.
    energy : array_like
        Characteristic energy E = β E0 of the vapour [J/mol].
    temperature : array_like
        Temperature [K].
    limit : array_like
        Micropore volume W0 [cm³/g].

    Notes
    -----
    Dubinin & Radushkevich (1947) [dubinin-1960]; the Henry branch is ours (tangent where the log-log slope
    is one).

    Validity: measured carbons follow it from p/p_sat of about 1e-5 to 0.3; below, `stillroom.media.scatter`
    widens.

    Examples
    --------
    W/W0 is 1/e where A = E:

    >>> round(float(filled_volume(potential=20e3, energy=20e3, temperature=295.15)), 4)
    0.3679
    """
    a = np.maximum(np.asarray(potential, float), 0.0)
    e = np.asarray(energy, float)
    rt = GAS_CONSTANT * np.asarray(temperature, float)
    bend = np.minimum(a, e * e / (2.0 * rt))
    return np.asarray(np.asarray(limit, float) * np.exp(-((bend / e) ** 2) - (a - bend) / rt))


def log_slope(*, potential: ArrayLike, energy: ArrayLike, temperature: ArrayLike) -> Array:
    """Slope d ln W/d ln p of the curve, from 0 (full) to 1 (Henry) (dimensionless).

    Parameters
    ----------
    potential, energy : array_like
        Adsorption potential A and characteristic energy E [J/mol].
    temperature : array_like
        Temperature [K].
    """
    a, e = np.asarray(potential, float), np.asarray(energy, float)
    return np.asarray(np.clip(2.0 * a * GAS_CONSTANT * np.asarray(temperature, float) / (e * e), 0.0, 1.0))


def spreading(*, potential: ArrayLike, energy: ArrayLike, temperature: ArrayLike, limit: ArrayLike) -> Array:
    """Reduced spreading pressure z = ∫ q d ln p, in the unit of `limit`.

    Parameters
    ----------
    potential, energy : array_like
        Adsorption potential A and characteristic energy E [J/mol].
    temperature : array_like
        Temperature [K].
    limit : array_like
        Loading q0 of full pores [mol/g].

    Notes
    -----
    Closed form: q0 E√π/(2RT)·erfc(A/E), less its part beyond A_h, where z = q (Henry). Above saturation the
    pores stay full, so z grows by q0 ln(p/p_sat): a vapour whose own saturation lies below a mixture's z
    keeps an answer.
    """
    from scipy.special import erfc

    a, e, q0 = np.asarray(potential, float), np.asarray(energy, float), np.asarray(limit, float)
    rt = GAS_CONSTANT * np.asarray(temperature, float)
    bend = e / (2.0 * rt)  # A_h/E
    q_bend = q0 * np.exp(-(bend**2))
    inside = np.clip(a / e, 0.0, bend)
    z = q_bend + q0 * e * np.sqrt(np.pi) / (2.0 * rt) * (erfc(inside) - erfc(bend))
    z = np.where(a > bend * e, q_bend * np.exp(-np.maximum(a - bend * e, 0.0) / rt), z)
    return np.asarray(z + q0 * np.maximum(-a, 0.0) / rt)


def potential_at_spreading(
    *, spreading: ArrayLike, energy: ArrayLike, temperature: ArrayLike, limit: ArrayLike
) -> Array:
    """Adsorption potential A at which a vapour alone has the reduced spreading pressure z [J/mol].

    Parameters
    ----------
    spreading : array_like
        Reduced spreading pressure z, above zero [mol/g].
    energy : array_like
        Characteristic energy E [J/mol].
    temperature : array_like
        Temperature [K].
    limit : array_like
        Loading q0 of full pores [mol/g].

    Notes
    -----
    Inverse of `spreading`, branch by branch.
    """
    from scipy.special import erfc, erfcinv

    z, e, q0 = np.asarray(spreading, float), np.asarray(energy, float), np.asarray(limit, float)
    rt = GAS_CONSTANT * np.asarray(temperature, float)
    bend = e / (2.0 * rt)
    q_bend = q0 * np.exp(-(bend**2))
    scale = q0 * e * np.sqrt(np.pi) / (2.0 * rt)
    tail = erfc(bend)
    full = q_bend + scale * (1.0 - tail)
    argument = np.clip((z - q_bend) / scale + tail, tail, 1.0)
    a = e * erfcinv(argument)
    log_z = np.log(np.maximum(z, np.finfo(float).tiny))
    a = np.where(z < q_bend, bend * e + rt * (np.log(q0) - bend**2 - log_z), a)
    return np.asarray(np.where(z > full, -(z - full) * rt / q0, a))
