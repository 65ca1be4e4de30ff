"""Draws from an interval, and the scatter of single vapours about a medium's own curve."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stillroom.media.model import Interval

__all__ = ["Z95", "sample"]

Array = NDArray[np.float64]

Z95 = 1.6448536269514722
"""Standard normal deviate of 95 % [-]."""


def sample(interval: Interval, rng: np.random.Generator, size: int) -> Array:
    """Draws from a split lognormal through the interval's 5, 50 and 95 % points, shape (size,), in its unit.

    Parameters
    ----------
    interval : Interval
        Positive, p05 ≤ p50 ≤ p95.
    rng : numpy.random.Generator
        Source of randomness; the same generator state gives the same draws.
    size : int
        Number of draws [-].

    Notes
    -----
    ``p50 · exp(σ z)`` with z standard normal, σ = ln(p50/p05)/1.645 below the median and ln(p95/p50)/1.645
    above.

    Validity: all three points above zero; equal points give a constant.
    """
    deviate = rng.standard_normal(size)
    below = np.log(interval.p50 / interval.p05) / Z95
    above = np.log(interval.p95 / interval.p50) / Z95
    drawn: Array = interval.p50 * np.exp(np.where(deviate < 0.0, below, above) * deviate)
    return drawn
