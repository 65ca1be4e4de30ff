"""The error of one reading: a part that grows with the value and a part that stays near zero.

A reading is y = x·e^η + ε with η ~ N(0, s_m), ε ~ N(0, s_a) [rocke-lorenzato-1995]. On the scale
z = arsinh(y s_m/s_a)/s_m its spread is near one whatever x is [rocke-durbin-2003], so that the density of a
value and the probability of "below the detection limit" are those of one normal.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import log_ndtr

__all__ = ["BLANKS", "log_below", "log_density", "on_scale", "value_at"]

Array = NDArray[np.float64]

BLANKS = 3.29
"""Detection limit over the standard deviation of a blank, 2 × 1.645 [-] [currie-1968]."""
_HALF_LOG_TAU = 0.5 * float(np.log(2.0 * np.pi))


def on_scale(value: ArrayLike, *, relative: ArrayLike, additive: ArrayLike) -> Array:
    """A concentration on the scale where the error has spread one [-].

    Parameters
    ----------
    value : array_like
        [ppm].
    relative : array_like
        Standard error that grows with the value [-].
    additive : array_like
        Standard error near zero [ppm].
    """
    share = np.asarray(relative, float)
    return np.asarray(np.arcsinh(np.asarray(value, float) * share / np.asarray(additive, float)) / share)


def value_at(scaled: ArrayLike, *, relative: ArrayLike, additive: ArrayLike) -> Array:
    """The concentration at a place on that scale, the inverse of `on_scale` [ppm].

    Parameters
    ----------
    scaled : array_like
        [-].
    relative : array_like
        As `on_scale` [-].
    additive : array_like
        As `on_scale` [ppm].
    """
    share = np.asarray(relative, float)
    return np.asarray(np.sinh(np.asarray(scaled, float) * share) * np.asarray(additive, float) / share)


def log_density(value: ArrayLike, expected: ArrayLike, *, relative: ArrayLike, additive: ArrayLike) -> Array:
    """Logarithm of the density of a value, on the scale of `on_scale` [-].

    Parameters
    ----------
    value, expected : array_like
        Read, and what the instrument would show without error [ppm].
    relative : array_like
        [-].
    additive : array_like
        [ppm].
    """
    read = on_scale(value, relative=relative, additive=additive)
    away = read - on_scale(expected, relative=relative, additive=additive)
    return np.asarray(-0.5 * away**2 - _HALF_LOG_TAU)


def log_below(limit: ArrayLike, expected: ArrayLike, *, relative: ArrayLike, additive: ArrayLike) -> Array:
    """Logarithm of the probability of reading less than `limit` [-].

    Parameters
    ----------
    limit, expected : array_like
        Detection limit, and what the instrument would show without error [ppm].
    relative : array_like
        [-].
    additive : array_like
        [ppm].
    """
    edge = on_scale(limit, relative=relative, additive=additive)
    return np.asarray(log_ndtr(edge - on_scale(expected, relative=relative, additive=additive)))
