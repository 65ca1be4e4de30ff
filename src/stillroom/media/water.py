"""Water on carbon: how much at a relative humidity, and what driving it out of the pores costs.

Little water sticks to oxygen groups at the pores' mouths; about a midpoint humidity clusters of it fill the pores::

    q = W ρ (θ(h) + s h/(h + 0.1))        θ(h) = (σ(h) − σ(0))/(1 − σ(0))        σ(h) = 1/(1 + exp((h_m − h)/w))
    Π(h) = ∫₀ʰ θ dh'/h'
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.media.draws import sample
from stillroom.media.model import Interval, Medium

__all__ = [
    "ANY_MIDPOINT",
    "ANY_SITES",
    "MIDPOINT",
    "SITES",
    "TREATED_MIDPOINT",
    "TREATED_SITES",
    "VOLUME_SHARE",
    "WIDTH",
    "Water",
    "displacement",
    "draw",
    "filled",
    "loading",
    "on_sites",
]

Array = NDArray[np.float64]

MIDPOINT = Interval(0.44, 0.58, 0.84, "own-water-comparison", "19 untreated carbons")
TREATED_MIDPOINT = Interval(
    0.35,
    0.59,
    0.72,
    "own-water-comparison",
    "8 oxidised carbons: 0.40 to 0.72, median 0.64; drier by judgement, for salts",
)
ANY_MIDPOINT = Interval(0.30, 0.58, 0.85, "own-water-comparison", "before measured uptakes: all carbons")
WIDTH = Interval(0.040, 0.090, 0.160, "own-water-comparison", "19 untreated carbons")
SITES = Interval(
    0.005, 0.045, 0.20, "own-water-comparison", "19 untreated carbons, share of the pores' water"
)
TREATED_SITES = Interval(0.03, 0.05, 0.50, "own-water-comparison", "8 oxidised carbons")
ANY_SITES = Interval(0.005, 0.045, 0.35, "own-water-comparison", "before measured uptakes: all carbons")
VOLUME_SHARE = Interval(0.60, 0.85, 1.10, "own-water-comparison", "water that fills the pores over W0")

_HALF_SITES = 0.1
"""Relative humidity at which half of the groups hold water [-]."""
_DENSITY = 1.0
"""Of water in pores, taken as that of the liquid [g/cm³]."""
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)
_POOL = 100
"""Draws before, for each after calibration [-]."""
_FIT, _FLOOR = 0.18, 0.005
"""Standard error of ln(q + floor), of a measured uptake about its own curve [-], [g/g]."""


def _rise(h: Array, midpoint: ArrayLike, width: ArrayLike) -> Array:
    m, w = np.asarray(midpoint, float), np.asarray(width, float)
    start = 1.0 / (1.0 + np.exp(m / w))
    return np.asarray((1.0 / (1.0 + np.exp((m - h) / w)) - start) / (1.0 - start))


def filled(relative_humidity: ArrayLike, *, midpoint: ArrayLike, width: ArrayLike) -> Array:
    """Share of the pores that water fills alone, θ [-].

    Parameters
    ----------
    relative_humidity : array_like
        Fraction; above 1 counts as 1 [-].
    midpoint, width : array_like
        Centre and logistic width of the rise, in relative humidity [-].

    Notes
    -----
    Logistic in relative humidity [qi-1998], moved so that dry carbon is dry.

    Validity: 285 to 330 K, where one curve in relative humidity serves all temperatures (the same carbon at 303, 323
    and 343 K: midpoints 0.54, 0.54, 0.56). The adsorption branch.
    """
    return _rise(np.clip(np.asarray(relative_humidity, float), 0.0, 1.0), midpoint, width)


def on_sites(relative_humidity: ArrayLike, *, sites: ArrayLike) -> Array:
    """Water on oxygen groups, as a share of what fills the pores [-].

    Parameters
    ----------
    relative_humidity : array_like
        Fraction; above 1 counts as 1 [-].
    sites : array_like
        Share where all groups are taken [-].
    """
    h = np.clip(np.asarray(relative_humidity, float), 0.0, 1.0)
    return np.asarray(np.asarray(sites, float) * h / (h + _HALF_SITES))


def loading(
    relative_humidity: ArrayLike,
    *,
    volume: ArrayLike,
    midpoint: ArrayLike,
    width: ArrayLike,
    sites: ArrayLike,
) -> Array:
    """Water that carbon holds where nothing else is adsorbed [g/g].

    Parameters
    ----------
    relative_humidity : array_like
        Fraction [-].
    volume : array_like
        W, pores that water can fill [cm³/g].
    midpoint, width, sites : array_like
        As `filled` and `on_sites` [-].

    Examples
    --------
    A reference carbon, adsorption branch, 298 K [nguyen-2023]: 0.042, 0.406 and 0.420 g/g at 0.5, 0.8 and 0.9.

    >>> [round(float(loading(h, volume=0.426, midpoint=0.622, width=0.055, sites=0.010)), 3) for h in (0.5, 0.8, 0.9)]
    [0.045, 0.414, 0.427]
    """
    share = filled(relative_humidity, midpoint=midpoint, width=width) + on_sites(
        relative_humidity, sites=sites
    )
    return np.asarray(np.asarray(volume, float) * _DENSITY * share)


def displacement(relative_humidity: ArrayLike, *, midpoint: ArrayLike, width: ArrayLike) -> Array:
    """Work of driving the water out of full pores, over RT and a mole of it: Π = ∫₀ʰ θ d ln h' [-].

    Parameters
    ----------
    relative_humidity : array_like
        Fraction [-].
    midpoint, width : array_like
        As `filled` [-].

    Notes
    -----
    Gibbs' adsorption equation for water alone. Well above the midpoint it is ln(h/h_m): pores that fill at h_m give up
    water to where its pressure is h_m. Water on groups is not counted: few pores have them.
    """
    h, m, w = np.broadcast_arrays(
        np.clip(np.asarray(relative_humidity, float), 0.0, 1.0),
        np.asarray(midpoint, float),
        np.asarray(width, float),
    )
    at = 0.5 * (_NODES + 1.0)
    # θ/h is smooth down to zero, where θ starts in proportion to h
    inner = _rise(h[..., None] * at, m[..., None], w[..., None]) / at
    return np.asarray(0.5 * (inner * _WEIGHTS).sum(axis=-1))


@dataclass(frozen=True, slots=True)
class Water:
    """Draws of a carbon's water isotherm, each of shape (size,)."""

    volume: Array
    """[cm³/g]"""
    midpoint: Array
    """[-]"""
    width: Array
    """[-]"""
    sites: Array
    """[-]"""

    def loading(self, relative_humidity: ArrayLike) -> Array:
        """Draws of `loading` [g/g].

        Parameters
        ----------
        relative_humidity : array_like
            Fraction, broadcasting against the draws [-].
        """
        return loading(
            relative_humidity,
            volume=self.volume,
            midpoint=self.midpoint,
            width=self.width,
            sites=self.sites,
        )

    def displacement(self, relative_humidity: ArrayLike) -> Array:
        """Draws of `displacement` [-].

        Parameters
        ----------
        relative_humidity : array_like
            Fraction, broadcasting against the draws [-].
        """
        return displacement(relative_humidity, midpoint=self.midpoint, width=self.width)

    def on_sites(self, relative_humidity: ArrayLike) -> Array:
        """Draws of `on_sites` [-].

        Parameters
        ----------
        relative_humidity : array_like
            Fraction, broadcasting against the draws [-].
        """
        return on_sites(relative_humidity, sites=self.sites)


def draw(medium: Medium, rng: np.random.Generator, size: int) -> Water:
    """Draws of a medium's water isotherm; pulled to its own measured uptakes where it has some.

    Parameters
    ----------
    medium : Medium
        Impregnated ones are drawn as oxidised carbons are.
    rng : numpy.random.Generator
        Source of randomness.
    size : int
        Number of draws [-].

    Notes
    -----
    Measured uptakes weigh a hundred times as many draws from a wider prior, ln(q + 0.005 g/g) within 0.18; as many as are
    wanted are then taken by weight.
    """
    uptakes = medium.water_uptake
    pool = _prior(medium, rng, size * _POOL if uptakes else size)
    if not uptakes:
        return pool
    weight = np.zeros(len(pool.volume))
    for uptake in uptakes:
        off = np.log(pool.loading(uptake.relative_humidity) + _FLOOR) - np.log(uptake.loading + _FLOOR)
        weight -= 0.5 * (off / _FIT) ** 2
    total = np.cumsum(np.exp(weight - weight.max()))
    places = (np.arange(size) + rng.random()) / size * total[-1]
    chosen = rng.permutation(np.searchsorted(total, places))
    return Water(*(getattr(pool, item.name)[chosen] for item in fields(Water)))


def _prior(medium: Medium, rng: np.random.Generator, size: int) -> Water:
    midpoint, sites = MIDPOINT, SITES
    if medium.water_uptake:
        midpoint, sites = ANY_MIDPOINT, ANY_SITES
    elif medium.impregnations:
        midpoint, sites = TREATED_MIDPOINT, TREATED_SITES
    return Water(
        volume=sample(medium.micropore_volume, rng, size) * sample(VOLUME_SHARE, rng, size),
        midpoint=sample(midpoint, rng, size),
        width=sample(WIDTH, rng, size),
        sites=np.minimum(sample(sites, rng, size), 1.0),
    )
