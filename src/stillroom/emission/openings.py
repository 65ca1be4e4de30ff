"""What an opened container gives off."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.units import GAS_CONSTANT

__all__ = ["opening_rate"]

Array = NDArray[np.float64]
_WEEK = 7 * 86400.0


def opening_rate(
    partial_pressure: ArrayLike,
    *,
    openings_per_week: float,
    headspace: ArrayLike,
    headspace_lost: ArrayLike,
    open_rate: ArrayLike,
    seconds_open: ArrayLike,
    temperature: float,
) -> Array:
    """Loss by openings, averaged over the week, n (f V p/(RT) + rate·t)/week [mol/s].

    Parameters
    ----------
    partial_pressure : array_like
        In the headspace p [Pa].
    openings_per_week : float
        n [-].
    headspace : array_like
        V [m³].
    headspace_lost : array_like
        Share f of the headspace that leaves [-].
    open_rate : array_like
        Diffusion from the open mouth [mol/s].
    seconds_open : array_like
        t an opening [s].
    temperature : float
        T [K].

    Validity
    --------
    All openings are counted as if made in the cabinet's air, which is cautious where the bottle is taken out.

    Notes
    -----
    Mass balance. The headspace refills with vapour between openings.
    """
    puff = np.asarray(headspace_lost) * np.asarray(headspace) * np.asarray(partial_pressure, float)
    an_opening = puff / (GAS_CONSTANT * temperature) + np.asarray(open_rate) * np.asarray(seconds_open)
    return np.asarray(openings_per_week * an_opening / _WEEK)
