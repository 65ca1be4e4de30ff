"""Well-mixed balances: a release rate in, a concentration out.

V dc/dt = S − m Q c, with S the release, Q the flow of clean air (ventilation plus `clean_air_delivery` of
every recirculating filter) and m the mixing factor (1: well mixed; 0.1–0.5 where mixing is poor).
All functions take arrays that broadcast. Source: Crowl & Louvar, Chemical Process Safety, ch. 3
[crowl-louvar].
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.errors import OutOfValidity

__all__ = ["clean_air_delivery", "mean", "steady", "transient", "worst_mean"]

Array = NDArray[np.float64]


def steady(release: ArrayLike, *, flow: ArrayLike, mixing: ArrayLike = 1.0) -> Array:
    """Steady concentration of a well-mixed room, S/(m Q) [mol/m³ for a release in mol/s].

    Parameters
    ----------
    release : array_like
        Release into the room S [mol/s].
    flow : array_like
        Clean air Q [m³/s].
    mixing : array_like
        Mixing factor m [-], at most 1.

    Returns
    -------
    ndarray
        Concentration, broadcast shape.

    Validity
    --------
    Flow and mixing above zero; without flow there is no steady state, and `OutOfValidity` says so.

    Notes
    -----
    Crowl & Louvar, Eq. 3-9 [crowl-louvar].
    """
    effective = np.asarray(flow, float) * np.asarray(mixing, float)
    if not np.all(effective > 0.0):
        raise OutOfValidity("a room without air exchange has no steady concentration. Use room.transient.")
    return np.asarray(np.asarray(release, float) / effective)


def _filled(rate: Any, time: Any) -> Array:
    """(1 − exp(−λt))/λ [s], which is t where nothing is carried away."""
    rate, time = np.broadcast_arrays(np.asarray(rate, float), np.asarray(time, float))
    product = rate * time
    small = product < 1e-9
    safe = np.where(small, 1.0, rate)
    return np.asarray(np.where(small, time * (1.0 - 0.5 * product), -np.expm1(-product) / safe))


def transient(
    time: ArrayLike,
    *,
    release: ArrayLike,
    volume: ArrayLike,
    flow: ArrayLike,
    initial: ArrayLike = 0.0,
    mixing: ArrayLike = 1.0,
) -> Array:
    """Concentration at `time` after a constant release began [mol/m³].

    Parameters
    ----------
    time : array_like
        Since the release began [s].
    release : array_like
        S [mol/s].
    volume : array_like
        Room V [m³].
    flow : array_like
        Clean air Q [m³/s]; zero is allowed, then the concentration rises in a straight line.
    initial : array_like
        Concentration at time zero [mol/m³].
    mixing : array_like
        Mixing factor m [-].

    Returns
    -------
    ndarray
        c(t) = c0 exp(−λt) + (S/V)(1 − exp(−λt))/λ, λ = m Q/V.

    Validity
    --------
    Times and flows not negative; constant release, no sinks but the flow.

    Notes
    -----
    Solution of the balance at the head of this module.
    """
    rate = np.asarray(flow, float) * np.asarray(mixing, float) / np.asarray(volume, float)
    fed = np.asarray(release, float) / np.asarray(volume, float)
    decay = np.exp(-rate * np.asarray(time, float))
    return np.asarray(np.asarray(initial, float) * decay + fed * _filled(rate, time))


def mean(
    seconds: ArrayLike,
    *,
    release: ArrayLike,
    volume: ArrayLike,
    flow: ArrayLike,
    initial: ArrayLike = 0.0,
    mixing: ArrayLike = 1.0,
) -> Array:
    """Mean concentration over the first `seconds` of a constant release [mol/m³]; 28 800 s: the 8-hour mean.

    Parameters
    ----------
    seconds : array_like
        Averaging time, above zero [s].
    release : array_like
        S [mol/s].
    volume : array_like
        Room V [m³].
    flow : array_like
        Clean air Q [m³/s].
    initial : array_like
        Concentration at time zero [mol/m³].
    mixing : array_like
        Mixing factor m [-].

    Validity
    --------
    As `transient`.

    Notes
    -----
    The integral of `transient` over the time, divided by it.
    """
    seconds = np.asarray(seconds, float)
    rate = np.asarray(flow, float) * np.asarray(mixing, float) / np.asarray(volume, float)
    fed = np.asarray(release, float) / np.asarray(volume, float)
    filled = _filled(rate, seconds)
    small = rate * seconds < 1e-5
    safe = np.where(small, 1.0, rate)
    ramp = np.where(small, seconds**2 / 2 * (1 - rate * seconds / 3), (seconds - filled) / safe)
    return np.asarray((np.asarray(initial, float) * filled + fed * ramp) / seconds)


def worst_mean(
    window: ArrayLike,
    *,
    release: ArrayLike,
    duration: ArrayLike,
    volume: ArrayLike,
    flow: ArrayLike,
    mixing: ArrayLike = 1.0,
) -> Array:
    """Highest mean over any `window` when a constant release lasts `duration` and then stops [mol/m³].

    Parameters
    ----------
    window : array_like
        Averaging time w: 900 s for a short-term limit, 28 800 s for an 8-hour limit [s].
    release : array_like
        S while it lasts [mol/s].
    duration : array_like
        Of the release, τ [s].
    volume : array_like
        Room V [m³].
    flow : array_like
        Clean air Q [m³/s].
    mixing : array_like
        Mixing factor m [-].

    Returns
    -------
    ndarray
        The mean over the window that begins at s with c(s) = c(s + w): λs = ln(1 + e^{−λ(w−τ)} − e^{−λw}).

    Validity
    --------
    The room is clean at the start. Without flow the window lies after the end of the release.

    Notes
    -----
    Closed form: the room fills for τ, then clears; the best window straddles τ, so it begins and ends at
    equal concentrations. Checked against a numerical search in the tests.
    """
    window, duration = np.asarray(window, float), np.asarray(duration, float)
    rate = np.asarray(flow, float) * np.asarray(mixing, float) / np.asarray(volume, float)
    fed = np.asarray(release, float) / np.asarray(volume, float)
    # ln(1 + e^{−λ(w−τ)} − e^{−λw}) = λτ + ln(e^{−λτ} + e^{−λw} − e^{−λ(w+τ)}), which cannot overflow
    gap = np.exp(-rate * duration) + np.exp(-rate * window) - np.exp(-rate * (window + duration))
    still = rate * np.maximum(window, duration) < 1e-9
    start = np.where(still, duration, duration + np.log(np.maximum(gap, 1e-300)) / np.where(still, 1.0, rate))
    start = np.clip(start, np.maximum(duration - window, 0.0), duration)
    rising = duration - start
    at_start, at_end = _filled(rate, start), _filled(rate, duration)
    # integral of the rise from s to τ by the balance, ∫c dt = (S·Δt/V − Δc)/λ, and of the decay after it
    up = np.where(still, at_end * rising, (rising - (at_end - at_start)) / np.where(still, 1.0, rate))
    down = at_end * _filled(rate, window - rising)
    return np.asarray(fed * (up + down) / window)


def clean_air_delivery(*, flow: ArrayLike, penetration: ArrayLike) -> Array:
    """Clean air that a recirculating filter is worth, Q(1 − P) [m³/s].

    Parameters
    ----------
    flow : array_like
        Air through the filter [m³/s].
    penetration : array_like
        Outlet over inlet P [-].

    Validity
    --------
    Penetration 0 … 1; above 1 (roll-up) the filter is a source and the answer is negative, as it should be.

    Notes
    -----
    Mass balance over the filter.
    """
    return np.asarray(np.asarray(flow, float) * (1.0 - np.asarray(penetration, float)))
