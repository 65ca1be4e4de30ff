"""Quantiles that bear infinity."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["CAUTIOUS", "quantile"]

Array = NDArray[np.float64]

CAUTIOUS = 0.05


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
