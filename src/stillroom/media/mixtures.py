"""Vapours adsorbed together: ideal adsorbed solution theory on Dubinin–Radushkevich curves.

Sought is z with Σ p_i/p_i°(z) = 1. ln Σ p_i/p_i°(z) falls and is convex in z (d ln p°/dz = 1/q, and q grows
with z), so Newton's steps from the left, z = max_i z_i(p_i), climb to the root without passing it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.media.equilibrium import dubinin
from stillroom.units import GAS_CONSTANT

__all__ = ["ideal_loadings"]

Array = NDArray[np.float64]

_TOLERANCE = 1e-10
_STEPS = 80


def ideal_loadings(
    *,
    pressure: ArrayLike,
    saturation_pressure: ArrayLike,
    energy: ArrayLike,
    limit: ArrayLike,
    temperature: float,
) -> Array:
    """Loading of each vapour in a mixture, shape (n_v, …) [mol/g].

    Parameters
    ----------
    pressure : array_like, shape (n_v, …)
        Partial pressures; zero gives zero loading [Pa].
    saturation_pressure, energy, limit : array_like, broadcast to the shape of `pressure`
        Saturation pressures [Pa], characteristic energies [J/mol], loadings of full pores [mol/g].
    temperature : float
        Temperature [K].

    Notes
    -----
    Myers & Prausnitz (1965) [myers-prausnitz-1965]. With one vapour it is that vapour's own curve.

    Validity: an ideal adsorbed phase; polar with non-polar vapours depart from it, water above all.
    """
    p = np.asarray(pressure, float)
    shape = p.shape
    p_sat, e, q0 = (
        np.broadcast_to(np.asarray(x, float), shape) for x in (saturation_pressure, energy, limit)
    )
    present = (p > 0.0) & (q0 > 0.0)
    q0 = np.where(q0 > 0.0, q0, 1.0)
    rt = GAS_CONSTANT * temperature
    own = dubinin.potential(
        pressure=np.where(present, p, 1e-300), saturation_pressure=p_sat, temperature=temperature
    )
    z = dubinin.spreading(potential=own, energy=e, temperature=temperature, limit=q0)
    z = np.max(np.where(present, z, 0.0), axis=0)
    any_present = z > 0.0
    z = np.where(any_present, z, 1.0)
    for _ in range(_STEPS):
        a = dubinin.potential_at_spreading(spreading=z, energy=e, temperature=temperature, limit=q0)
        q = dubinin.filled_volume(potential=a, energy=e, temperature=temperature, limit=q0)
        share = np.where(present, np.exp((a - own) / rt), 0.0)  # p/p°
        total = np.where(any_present, share.sum(axis=0), 1.0)
        excess = np.log(total)
        if np.all(excess < _TOLERANCE):
            break
        z = z + excess * total / np.where(any_present, (share / q).sum(axis=0), 1.0)
    share = share / total
    amount = 1.0 / np.where(any_present, (share / q).sum(axis=0), 1.0)
    return np.asarray(np.where(any_present, share * amount, 0.0))
