"""Quantiles that bear infinity."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stillroom.units import show

__all__ = ["CAUTIOUS", "SHORTEST_LIFE_DAYS", "percent", "quantile"]

Array = NDArray[np.float64]

CAUTIOUS = 0.05
SHORTEST_LIFE_DAYS = 30.0
"""A filter that would not last this long at the cautious end is no basis for approval [days] (common practice, no source)."""


def quantile(values: Array, share: float) -> float:
    """The quantile at `share` [-]; where some draws are infinite, the next lower draw (never an interpolation).

    Parameters
    ----------
    values : ndarray, shape (size,)
        Draws [-].
    share : float
        Between 0 and 1 [-].
    """
    if np.isfinite(values).all():
        return float(np.quantile(values, share))
    return float(np.quantile(values, share, method="lower"))


def percent(fraction: float) -> str:
    """A fraction [-] in per cent for a sentence; what is too small to matter is said as a bound."""
    return "under 0.001 %" if fraction < 1e-5 else f"{show(100 * fraction)} %"
