"""Impregnated media: irreversible uptake of one family by stoichiometry."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.errors import InputError, Problem
from stillroom.media.draws import sample
from stillroom.media.model import Impregnation, Medium

__all__ = [
    "FAMILIES",
    "REFERENCE_MOLAR_MASS",
    "draw_molar_capacity",
    "humidity_factor",
    "impregnation_for",
    "reference_molar_mass",
]

Array = NDArray[np.float64]

FAMILIES = ("acid gas", "ammonia", "formaldehyde", "hydrogen sulphide", "mercury")
"""families that plain carbon does not hold and an impregnation can"""

# Molar masses from the IUPAC standard atomic weights 2021, rounded [g/mol]; sweeps of the reference
# substances.
REFERENCE_MOLAR_MASS = {
    "7446-09-5": 64.06,  # sulphur dioxide
    "7647-01-0": 36.46,  # hydrogen chloride
    "7782-50-5": 70.90,  # chlorine
    "7783-06-4": 34.08,  # hydrogen sulphide
    "7664-41-7": 17.03,  # ammonia
    "50-00-0": 30.03,  # formaldehyde
    "7439-97-6": 200.59,  # mercury
}


def impregnation_for(medium: Medium, family: str) -> Impregnation | None:
    """The medium's impregnation for a family, or None where it has none."""
    return next((item for item in medium.impregnations if item.family == family), None)


@cache
def reference_molar_mass(cas: str) -> float:
    """Of a reference substance [g/mol].

    Raises
    ------
    InputError
        It is none.
    """
    try:
        return REFERENCE_MOLAR_MASS[cas]
    except KeyError:
        known = ", ".join(REFERENCE_MOLAR_MASS)
        problem = Problem(
            "the reference substance of an impregnation is not known", f"Use one of {known}.", found=cas
        )
        raise InputError(problem) from None


def humidity_factor(impregnation: Impregnation, relative_humidity: ArrayLike) -> Array:
    """Factor on the capacity [-] in air of a humidity: straight between the medium's rows, level beyond them; 1 where it has none.

    Parameters
    ----------
    impregnation : Impregnation
        With its `at_humidity`.
    relative_humidity : array_like
        Fraction, 0 to 1 [-].
    """
    humidity = np.asarray(relative_humidity, float)
    if not impregnation.at_humidity:
        return np.ones_like(humidity)
    at, factor = np.array(impregnation.at_humidity).T
    return np.asarray(np.interp(humidity, at, factor))


def draw_molar_capacity(impregnation: Impregnation, rng: np.random.Generator, size: int) -> Array:
    """Draws of the capacity for any member of the family, shape (size,) [mol/g].

    Parameters
    ----------
    impregnation : Impregnation
        Its capacity is in g of the reference substance per g of medium.
    rng : numpy.random.Generator
        Source of randomness.
    size : int
        Number of draws [-].

    Notes
    -----
    Moles of any member equal moles of the reference substance.

    Validity: one acid or base equivalent a molecule; sulphuric acid mist and the like depart by a factor of
    two.
    """
    return sample(impregnation.capacity, rng, size) / reference_molar_mass(impregnation.reference_cas)
