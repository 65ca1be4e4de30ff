"""How sure a quantile of draws is: bounds by order statistics, whatever the distribution.

The number of draws below the true quantile at share p is binomial (n, p), so an order statistic bounds that quantile
with a probability that is known without knowing the distribution [hahn-meeker-1991].
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import bdtr

__all__ = ["CONFIDENCE", "lower_bound", "rank_below", "upper_bound"]

Array = NDArray[np.float64]

CONFIDENCE = 0.95
"""One-sided confidence of a bound on a quantile [-] (common practice, no source)."""


@lru_cache(maxsize=256)
def rank_below(size: int, share: float, *, confidence: float = CONFIDENCE) -> int:
    """The largest rank whose order statistic is at or under the true quantile with that confidence [-].

    Parameters
    ----------
    size : int
        Independent draws [-].
    share : float
        Of the quantile, between 0 and 1 [-].
    confidence : float
        One-sided [-].

    Returns
    -------
    int
        From 1 to `size`; 0 where so few draws prove nothing (under 59 for 5 % at 95 %).

    Notes
    -----
    X(k) ≤ ξ(p) unless fewer than k draws lie at or under ξ: the largest k with P(Bin(n, p) ≤ k − 1) ≤ 1 − confidence.

    References
    ----------
    [hahn-meeker-1991], section 5.2 (from memory).

    Examples
    --------
    59 is the least number of draws whose smallest bounds the 5 % point (Wilks 1941, from memory); 93 for the second smallest:

    >>> rank_below(58, 0.05), rank_below(59, 0.05), rank_below(92, 0.05), rank_below(93, 0.05)
    (0, 1, 1, 2)
    """
    return int(np.searchsorted(bdtr(np.arange(size), size, share), 1.0 - confidence, side="right"))


def lower_bound(values: Array, share: float, *, confidence: float = CONFIDENCE) -> float:
    """A value that the true quantile is not under, with that confidence, in the unit of `values`; bears infinity.

    Parameters
    ----------
    values : ndarray, shape (size,)
        Independent draws [any].
    share : float
        Of the quantile [-].
    confidence : float
        One-sided [-].

    Notes
    -----
    Validity: independent draws of equal weight. Where so few prove nothing: −infinity, never a guess.
    """
    rank = rank_below(values.size, share, confidence=confidence)
    return float(np.partition(values, rank - 1)[rank - 1]) if rank else -np.inf


def upper_bound(values: Array, share: float, *, confidence: float = CONFIDENCE) -> float:
    """A value that the true quantile is not above, with that confidence, in the unit of `values`.

    Parameters
    ----------
    values : ndarray, shape (size,)
        Independent draws [any].
    share : float
        Of the quantile [-].
    confidence : float
        One-sided [-].

    Notes
    -----
    As `lower_bound`, mirrored; infinity where so few draws prove nothing.
    """
    return -lower_bound(-values, 1.0 - share, confidence=confidence)
