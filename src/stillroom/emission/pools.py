"""A pool as time goes on: it cools as it evaporates, and a solution weakens."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stillroom.emission.closures import stefan_factor
from stillroom.emission.model import Spill
from stillroom.units import GAS_CONSTANT

__all__ = ["evaporated"]

Array = NDArray[np.float64]
_STEPS = 60


def evaporated(spill: Spill, *, seconds: float, flow: float = np.inf) -> Array:
    """What a pool gives off until it is cleaned up, (n_cas, size) [mol].

    Parameters
    ----------
    spill : Spill
        From `spills.spill`.
    seconds : float
        From the break [s].
    flow : float
        Air that carries the vapour away [m³/s]; the vapour in it slows the pool down.

    Validity
    --------
    The pool is taken as mixed through. Its surface is colder and weaker than that, all the more over a deep
    still pool: cautious. No water evaporates from a solution and none condenses into it; evaporating water
    would cool it further: cautious.

    Notes
    -----
    Each vapour: rate = G c*(w, T)·Q/(Q + G), with c* = c*₀ (w/w₀)^n exp(−L/R (1/T − 1/T₀))·T₀/T, w its mass
    fraction, and with Stefan's factor at the pressure of the moment. Heat: C dT/dt = H (T₀ − T) − Σ L rate. Marched in equal steps, each by the temperature and
    strength at its beginning, which are the highest of the step: cautious. C and H: ``data/closures.toml``.
    """
    gone = np.zeros_like(spill.conductance)
    temperature = np.full(spill.pool_area.shape, spill.temperature)
    if not spill.cas:
        return gone
    step = seconds / _STEPS
    carried = spill.conductance / (1.0 + spill.conductance / flow) * spill.saturation[:, None]
    amount, molar_mass = spill.amount[:, None], spill.molar_mass[:, None]
    latent, exponent = spill.latent_temperature[:, None], spill.exponent[:, None]
    share = spill.saturation[:, None] * GAS_CONSTANT * spill.temperature / spill.pressure
    at_first = stefan_factor(share)
    for _ in range(_STEPS):
        left = np.maximum(1.0 - gone / np.maximum(amount, 1e-300), 0.0)
        mass_left = np.maximum(1.0 - (gone * molar_mass).sum(axis=0) / spill.mass, 1e-9)
        strength = np.minimum(left / mass_left, 1.0)
        fall = strength**exponent * np.exp(latent * (1.0 / spill.temperature - 1.0 / temperature))
        driving = fall * spill.temperature / temperature * stefan_factor(share * fall) / at_first
        rate = np.minimum(carried * driving, (amount - gone) / step)
        gone = gone + rate * step
        heat = GAS_CONSTANT * (latent * rate).sum(axis=0)
        # warming is taken at the end of the step, so that the march is stable at any length
        temperature = (
            temperature + step * (spill.warming * spill.temperature - heat) / spill.heat_capacity
        ) / (1.0 + step * spill.warming / spill.heat_capacity)
        temperature = np.maximum(temperature, _COLDEST)
    return np.asarray(gone)


_COLDEST = 150.0
"""a guard of the march, colder than any pool gets [K]"""
