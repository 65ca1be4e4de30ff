"""Draws weighted by what was read: effective size, weighted quantiles, tempering."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["effective_size", "log_mean_exp", "temper", "weighted_quantile", "weights"]

Array = NDArray[np.float64]

_STEPS = 60  # halvings of the exponent, to the last bit


def log_mean_exp(values: Array, axis: int | None = None) -> Array:
    """ln of the mean of e^values, without overflow [-].

    Parameters
    ----------
    values : ndarray
        Logarithms; −inf counts as nothing [-].
    axis : int, optional
        Over which; all where None [-].
    """
    top = np.max(values, axis=axis, keepdims=True)
    top = np.where(np.isfinite(top), top, 0.0)
    with np.errstate(divide="ignore"):
        mean = np.log(np.mean(np.exp(values - top), axis=axis, keepdims=True)) + top
    return np.asarray(np.squeeze(mean, axis=axis))


def weights(log_likelihood: Array, *, exponent: float = 1.0) -> Array:
    """Weights of the draws, summing to one, (size,) [-]; equal where no draw has any likelihood.

    Parameters
    ----------
    log_likelihood : ndarray, shape (size,)
        Of all readings together [-].
    exponent : float
        1 counts the readings in full, 0 not at all [-].

    Notes
    -----
    The draws come from the prior, so the weights are the likelihood (importance sampling).
    """
    top = log_likelihood.max()
    if not np.isfinite(top):
        return np.full(log_likelihood.size, 1.0 / log_likelihood.size)
    raw = np.exp(exponent * (log_likelihood - top))
    return np.asarray(raw / raw.sum())


def effective_size(weight: Array) -> float:
    """Kong's effective sample size, (Σw)²/Σw² [draws].

    Parameters
    ----------
    weight : ndarray, shape (size,)
        Not negative, any scale [-].

    Notes
    -----
    [kong-1992]: size/(1 + cv²), cv the coefficient of variation of the weights.

    Examples
    --------
    >>> import numpy as np
    >>> effective_size(np.array([0.5, 0.5, 0.0, 0.0]))
    2.0
    """
    return float(weight.sum() ** 2 / (weight**2).sum())


def temper(log_likelihood: Array, *, least: float) -> float:
    """The largest exponent, at most 1, at which the effective size is `least` [-].

    Parameters
    ----------
    log_likelihood : ndarray, shape (size,)
        [-].
    least : float
        Effective size that is asked for [draws].

    Notes
    -----
    The size falls as the exponent rises, hence halving.
    """
    if effective_size(weights(log_likelihood)) >= least:
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(_STEPS):
        middle = 0.5 * (low + high)
        if effective_size(weights(log_likelihood, exponent=middle)) >= least:
            low = middle
        else:
            high = middle
    return low


def weighted_quantile(values: Array, weight: Array, share: float) -> float:
    """The smallest value up to which at least `share` of the weight lies, in the unit of `values`; bears infinity.

    Parameters
    ----------
    values : ndarray, shape (size,)
        [any].
    weight : ndarray, shape (size,)
        Not negative [-].
    share : float
        0 to 1 [-].

    Examples
    --------
    >>> import numpy as np
    >>> weighted_quantile(np.array([1.0, 2.0, np.inf]), np.array([0.2, 0.7, 0.1]), 0.5)
    2.0
    """
    order = np.argsort(values, kind="stable")
    reached = np.cumsum(weight[order])
    place = int(np.searchsorted(reached, share * reached[-1] * (1.0 - 1e-12)))
    return float(values[order][min(place, values.size - 1)])
