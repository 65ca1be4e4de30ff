"""Breathing of a headspace as temperature and barometer move."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.units import GAS_CONSTANT

__all__ = ["breathing_rate", "expansion_factor"]

Array = NDArray[np.float64]
_DAY = 86400.0


def expansion_factor(
    *,
    temperature: ArrayLike,
    temperature_swing: ArrayLike,
    partial_pressure: ArrayLike,
    partial_pressure_swing: ArrayLike,
    pressure: ArrayLike,
    pressure_fall: ArrayLike = 0.0,
    vent_setting: ArrayLike = 0.0,
) -> Array:
    """Share of the vapour space that a day pushes out, ΔT/T + (Δp_v + Δp_bar − Δp_vent)/(P − p_v) [-].

    Parameters
    ----------
    temperature : array_like
        Mean T of the vapour space [K].
    temperature_swing : array_like
        Daily ΔT, peak to peak [K].
    partial_pressure : array_like
        Of the vapour at the mean p_v [Pa].
    partial_pressure_swing : array_like
        Daily change Δp_v of the vapour's pressure [Pa].
    pressure : array_like
        Ambient P [Pa].
    pressure_fall : array_like
        Falls of the barometer in a day Δp_bar [Pa].
    vent_setting : array_like
        What the closure holds before it breathes [Pa]; 0: it breathes freely, which is cautious.

    Validity
    --------
    p_v below P; swings small against T and P. Negative answers become 0.

    Notes
    -----
    AP-42, ch. 7.1 (1997), vapour space expansion factor [ap42-7.1]; the barometer's term is the project's
    own step.
    """
    room_for_air = np.maximum(
        np.asarray(pressure) - np.asarray(partial_pressure), 0.05 * np.asarray(pressure)
    )
    pushed = np.asarray(partial_pressure_swing) + np.asarray(pressure_fall) - np.asarray(vent_setting)
    factor = np.asarray(temperature_swing) / np.asarray(temperature) + pushed / room_for_air
    return np.asarray(np.maximum(factor, 0.0))


def breathing_rate(
    partial_pressure: ArrayLike, *, vapour_space: ArrayLike, expansion: ArrayLike, temperature: float
) -> Array:
    """Vapour carried out by breathing, averaged over a day, K_E V p/(RT)/day [mol/s].

    Parameters
    ----------
    partial_pressure : array_like
        p [Pa].
    vapour_space : array_like
        V [m³].
    expansion : array_like
        K_E [-] a day.
    temperature : float
        T [K].

    Validity
    --------
    The vapour space is saturated whenever it breathes out (cautious; K_S = 1 in the source).

    Notes
    -----
    AP-42, ch. 7.1 (1997), standing storage loss without its metric conversions [ap42-7.1].
    """
    concentration = np.asarray(partial_pressure, float) / (GAS_CONSTANT * temperature)
    return np.asarray(np.asarray(expansion) * np.asarray(vapour_space) * concentration / _DAY)
