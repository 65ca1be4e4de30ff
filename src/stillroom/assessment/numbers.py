"""Quantiles that bear infinity."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from stillroom.media.order_statistics import lower_bound, rank_below, upper_bound
from stillroom.units import show

__all__ = [
    "CAUTIOUS",
    "MOST_DRAWS",
    "SHORTEST_LIFE_DAYS",
    "TOLERANCE",
    "cautious_days",
    "cautious_peak",
    "draws_wanted",
    "ends",
    "five_percent",
    "percent",
    "quantile",
]

Array = NDArray[np.float64]

CAUTIOUS = 0.05
SHORTEST_LIFE_DAYS = 30.0
"""A filter that would not last this long at the cautious end is no basis for approval [days] (common practice, no source)."""

TOLERANCE = 0.15
"""How far the cautious life may stay behind the 5 % point of the draws before more are taken [-] (own choice)."""
MOST_DRAWS = 10_000
"""As many are taken without being asked for [-]: seconds, not minutes (own choice)."""
_MARGIN = 1.2
"""Times the draws that the first ones ask for: their own slope at the 5 % point is no better known than the point [-]."""


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


def five_percent(values: Array) -> float:
    """The 5 % point of the draws themselves, in the unit of `values`; for what decides see `cautious_days`.

    Parameters
    ----------
    values : ndarray, shape (size,)
        Draws [any].
    """
    return quantile(values, CAUTIOUS)


def cautious_days(values: Array) -> float:
    """The cautious life that decides: what 5 % of the draws fall short of, less what so many draws cannot tell [days].

    Parameters
    ----------
    values : ndarray, shape (size,)
        Independent draws [days].

    Notes
    -----
    Lower 95 % confidence bound of the 5 % point: docs/decisions/0029-how-sure-the-cautious-end-is.md.
    """
    return lower_bound(values, CAUTIOUS)


def cautious_peak(values: Array) -> float:
    """The same for what must stay low: upper 95 % confidence bound of the 95 % point, in the unit of `values`.

    Parameters
    ----------
    values : ndarray, shape (size,)
        Independent draws [any].
    """
    return upper_bound(values, 1.0 - CAUTIOUS)


def ends(*, sure: bool) -> tuple[Callable[[Array], float], Callable[[Array], float]]:
    """The cautious ends of a life and of what must stay low: as they decide, or the points of the draws themselves.

    Parameters
    ----------
    sure : bool
        Whether what so many draws cannot tell is taken off.
    """
    return (cautious_days, cautious_peak) if sure else (five_percent, _ninety_five_percent)


def _ninety_five_percent(values: Array) -> float:
    return float(np.quantile(values, 1.0 - CAUTIOUS))


def draws_wanted(life: Array, *, most: int = MOST_DRAWS) -> int | None:
    """How many draws would tell the cautious life within `TOLERANCE` of its 5 % point; None where these do [-].

    Parameters
    ----------
    life : ndarray, shape (size,)
        Of the filter in each draw [days].
    most : int
        Draws that may be taken [-].

    Notes
    -----
    None too where the 5 % point is surely under `SHORTEST_LIFE_DAYS`, whatever its value, and where `most` are taken
    already. The number is read from the draws at hand: the order statistic that would be the bound among so many.
    """
    point, size = five_percent(life), life.size
    least = (1.0 - TOLERANCE) * point
    if cautious_days(life) >= least or upper_bound(life, CAUTIOUS) < SHORTEST_LIFE_DAYS or size >= most:
        return None
    for wanted in np.geomspace(2 * size, max(most, 2 * size), 24).astype(int).tolist():
        if quantile(life, rank_below(wanted, CAUTIOUS) / wanted) >= least:
            return min(int(_MARGIN * wanted), most)
    return most


def percent(fraction: float) -> str:
    """A fraction [-] in per cent for a sentence; what is too small to matter is said as a bound."""
    return "under 0.001 %" if fraction < 1e-5 else f"{show(100 * fraction)} %"
