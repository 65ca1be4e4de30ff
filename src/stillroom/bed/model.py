"""What a bed calculation is asked and what it answers. Pure data."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillroom.substances.model import Properties

__all__ = ["SpillExhaust", "Vapour"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Vapour:
    """One vapour in the air to the filter. With a `family` only an impregnation of that family holds it."""

    properties: Properties
    family: str = ""
    """empty, or formaldehyde, ammonia, acid gas, hydrogen sulphide, mercury"""


@dataclass(frozen=True, slots=True)
class SpillExhaust:
    """Exhaust during a spill, for each age of the filter; shape (n_a, n_v, size) [mol/m³]."""

    peak: Array
    mean: Array
    """over the spill's duration"""
