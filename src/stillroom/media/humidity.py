"""Water in the micropores: the share of W0 that is left to vapours."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.media.draws import sample
from stillroom.media.model import Interval

__all__ = ["LARGEST_LOSS", "MIDPOINT", "WIDTH", "draw_pores_left", "pores_left"]

Array = NDArray[np.float64]

MIDPOINT = Interval(0.52, 0.60, 0.78, "own-water-comparison", "relative humidity at half of the loss")
WIDTH = Interval(0.03, 0.07, 0.12, "own-water-comparison", "logistic width of the rise, in relative humidity")
LARGEST_LOSS = Interval(
    0.35, 0.60, 0.85, "stampfer-1980", "share of the pore volume that water takes when humid"
)


def pores_left(
    relative_humidity: ArrayLike,
    *,
    midpoint: ArrayLike = MIDPOINT.p50,
    width: ArrayLike = WIDTH.p50,
    largest_loss: ArrayLike = LARGEST_LOSS.p50,
) -> Array:
    """Share of the micropore volume left to vapours (dimensionless).

    Parameters
    ----------
    relative_humidity : array_like
        Fraction, 0 to 1 [-].
    midpoint, width, largest_loss : array_like
        Centre and logistic width of the rise of water's isotherm in relative humidity, and the share lost at
        its top [-].

    Notes
    -----
    1 − L/(1 + exp((h_m − h)/w)): the S-shape of water on carbon.

    Validity: first form, one curve for all vapours. Strongly held vapours at high concentration push water
    out and lose less: the curve is cautious for them. Weakly held vapours at trace level can lose more than
    W0 alone tells.
    """
    h = np.asarray(relative_humidity, float)
    rise = 1.0 / (1.0 + np.exp((np.asarray(midpoint, float) - h) / np.asarray(width, float)))
    return np.asarray(1.0 - np.asarray(largest_loss, float) * rise)


def draw_pores_left(relative_humidity: float, rng: np.random.Generator, size: int) -> Array:
    """Draws of `pores_left`, shape (size,) (dimensionless).

    Parameters
    ----------
    relative_humidity : float
        Fraction, 0 to 1 [-].
    rng : numpy.random.Generator
        Source of randomness.
    size : int
        Number of draws [-].
    """
    return pores_left(
        relative_humidity,
        midpoint=np.minimum(sample(MIDPOINT, rng, size), 0.9),
        width=sample(WIDTH, rng, size),
        largest_loss=np.minimum(sample(LARGEST_LOSS, rng, size), 0.95),
    )
