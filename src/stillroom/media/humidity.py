"""What humidity takes from vapours on carbon.

A vapour that fills pores drives water out of them, V/V_w moles a mole. The work of that is Π(h) of `media.water`::

    A' = A + m (V/V_w) RT Π(h)        p' = p exp(−m (V/V_w) Π(h))

m is 1 for a liquid that does not mix with water, less for one that does: then the two share the pores as a solution.
A strongly held vapour at high pressure hardly feels it, because its curve is flat there; a trace loses in proportion.
`pores_left` is the older form: one share of W0 for all vapours.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.media.draws import sample
from stillroom.media.equilibrium import dubinin
from stillroom.media.model import Interval
from stillroom.media.water import Water

__all__ = [
    "IMMISCIBLE",
    "LARGEST_LOSS",
    "MIDPOINT",
    "MISCIBLE",
    "MIXES_WITH_WATER",
    "WIDTH",
    "draw_pores_left",
    "draw_pressure_left",
    "draw_work_share",
    "loading_left",
    "pores_left",
    "pressure_left",
]

Array = NDArray[np.float64]

MIDPOINT = Interval(0.52, 0.60, 0.78, "own-water-comparison", "relative humidity at half of the loss")
WIDTH = Interval(0.03, 0.07, 0.12, "own-water-comparison", "logistic width of the rise, in relative humidity")
LARGEST_LOSS = Interval(
    0.35, 0.60, 0.85, "stampfer-1980", "share of the pore volume that water takes when humid"
)


IMMISCIBLE = Interval(
    0.7,
    1.0,
    1.4,
    "okazaki-1978",
    "m where the liquid does not mix with water; ends: 0.25 in ln of benzene's loadings",
)
MISCIBLE = Interval(
    0.1, 0.5, 1.1, "okazaki-1978", "m where it does: acetone about 0, methanol about 1, on two carbons"
)
MIXES_WITH_WATER = frozenset(
    {
        "107-21-1",  # ethylene glycol
        "109-86-4",  # 2-methoxyethanol
        "110-80-5",  # 2-ethoxyethanol
        "123-91-1",  # 1,4-dioxane
        "57-55-6",  # propylene glycol
        "64-17-5",  # ethanol
        "64-18-6",  # formic acid
        "64-19-7",  # acetic acid
        "67-56-1",  # methanol
        "67-63-0",  # 2-propanol
        "67-64-1",  # acetone
        "67-68-5",  # dimethyl sulfoxide
        "68-12-2",  # N,N-dimethylformamide
        "75-05-8",  # acetonitrile
        "872-50-4",  # N-methyl-2-pyrrolidone
    }
)
"""Liquids that mix with water in every proportion and whose logP lies below 0.1 (the tests read it from `chemicals`).
All others count as immiscible, which is the cautious side; so do those of which nothing is known."""

_WATER_VOLUME = 18.07
"""Molar volume of liquid water at 25 °C [cm³/mol]."""


def pressure_left(displacement: ArrayLike, *, molar_volume: ArrayLike, work_share: ArrayLike = 1.0) -> Array:
    """Factor on a vapour's partial pressure that stands for water in the pores, p'/p [-].

    Parameters
    ----------
    displacement : array_like
        Π(h) of `water.displacement` [-].
    molar_volume : array_like
        Of the vapour's liquid [cm³/mol].
    work_share : array_like
        m, `IMMISCIBLE` or `MISCIBLE` [-].

    Notes
    -----
    Potential theory of a liquid that displaces another [manes-1984], with the water's own isotherm for the work.

    Validity: equilibrium. 303 K, 59 to 90 % relative humidity, 6 to 4500 Pa: 42 measured points [okazaki-1978].
    Never above 1; 1 in dry air.
    """
    ratio = np.asarray(molar_volume, float) / _WATER_VOLUME
    return np.asarray(np.exp(-np.asarray(work_share, float) * ratio * np.asarray(displacement, float)))


def draw_work_share(cas: str, rng: np.random.Generator, size: int) -> Array:
    """Draws of m for one vapour, shape (size,) [-].

    Parameters
    ----------
    cas : str
        CAS number; one that is not in `MIXES_WITH_WATER` counts as immiscible.
    rng : numpy.random.Generator
        Source of randomness.
    size : int
        Number of draws [-].
    """
    return sample(MISCIBLE if cas in MIXES_WITH_WATER else IMMISCIBLE, rng, size)


def draw_pressure_left(
    relative_humidity: ArrayLike, water: Water, *, molar_volume: ArrayLike, work_share: ArrayLike
) -> Array:
    """Draws of `pressure_left` [-].

    Parameters
    ----------
    relative_humidity : array_like
        Fraction, one or a draw each [-].
    water : Water
        Draws of the carbon's water isotherm.
    molar_volume : array_like
        Of the vapours' liquids, broadcasting against the draws [cm³/mol].
    work_share : array_like
        Draws of m [-].
    """
    return pressure_left(
        water.displacement(relative_humidity), molar_volume=molar_volume, work_share=work_share
    )


def loading_left(
    *,
    pressure: ArrayLike,
    saturation_pressure: ArrayLike,
    energy: ArrayLike,
    temperature: float,
    pressure_left: ArrayLike,
    sites: ArrayLike = 0.0,
) -> Array:
    """Loading in humid air over that in dry air, of one vapour alone on a Dubinin–Radushkevich carbon [-].

    Parameters
    ----------
    pressure, saturation_pressure : array_like
        Partial and saturation pressure [Pa].
    energy : array_like
        Characteristic energy β E0 [J/mol].
    temperature : float
        Temperature [K].
    pressure_left : array_like
        From `pressure_left` [-].
    sites : array_like
        Share of the pores that water on oxygen groups keeps, `water.on_sites` [-].

    Examples
    --------
    Toluene at 1000 ppm and at 1 ppm, 22 °C, 80 % relative humidity, a carbon of E0 19 kJ/mol:

    >>> left = pressure_left(0.374, molar_volume=106.3)
    >>> [round(float(loading_left(pressure=p, saturation_pressure=3200.0, energy=22100.0, temperature=295.15,
    ...     pressure_left=left)), 2) for p in (101.3, 0.1013)]
    [0.78, 0.54]
    """

    def held(at: Array) -> Array:
        potential = dubinin.potential(
            pressure=at, saturation_pressure=saturation_pressure, temperature=temperature
        )
        return dubinin.filled_volume(potential=potential, energy=energy, temperature=temperature)

    p = np.asarray(pressure, float)
    humid = held(p * np.asarray(pressure_left, float))
    return np.asarray((1.0 - np.asarray(sites, float)) * humid / held(p))


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
