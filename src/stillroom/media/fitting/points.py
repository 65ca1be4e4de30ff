"""Measured points of vapours on a medium, with what is known of each vapour."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from stillroom.errors import InputError, Problem
from stillroom.media.fitting.rows import CHECKS, cas_faults, columns_of, read_table
from stillroom.sources import Sourced
from stillroom.substances import properties
from stillroom.units import GAS_CONSTANT

__all__ = ["WATER", "Points", "affinity", "read_points", "states"]

Array = NDArray[np.float64]
WATER = "7732-18-5"
_BENZENE = 26.26
"""Molar refraction of benzene [cm³/mol], as in `equilibrium.dubinin`."""
_EXPONENT = 0.85
"""0.9 in [wood-2001]; 0.85 misses vapours left out by less on the published carbons (docs/theory/media.md)."""
_MOST_ABOVE = 1.25
"""p/p_sat up to which a point counts as saturated; beyond it is no point of adsorption."""


def affinity(polarisability: Array) -> Array:
    """Affinity β relative to benzene (dimensionless).

    Parameters
    ----------
    polarisability : ndarray
        Molar refraction [cm³/mol].
    """
    return np.asarray((np.asarray(polarisability, float) / _BENZENE) ** _EXPONENT)


@dataclass(frozen=True, slots=True)
class Points:
    """Columns (n,) of vapour at a state; `volume` is NaN where nothing was measured."""

    cas: tuple[str, ...]
    temperature: Array
    """[K]"""
    pressure: Array
    """[Pa]"""
    saturation_pressure: Array
    """[Pa]"""
    density: Array
    """of the liquid [g/cm³]"""
    molar_mass: Array
    """[g/mol]"""
    affinity: Array
    """β [-]"""
    volume: Array
    """liquid volume held [cm³/g]"""

    @property
    def thermal(self) -> Array:
        """RT [kJ/mol]."""
        return GAS_CONSTANT * self.temperature / 1e3

    @property
    def potential(self) -> Array:
        """A = RT ln(p_sat/p), not below zero [kJ/mol]."""
        return np.asarray(np.maximum(self.thermal * np.log(self.saturation_pressure / self.pressure), 0.0))


@lru_cache(maxsize=4096)
def states(cas: str, temperature: float) -> tuple[float, float, float, float] | str:
    """Saturation pressure [Pa], liquid density [g/cm³], molar mass [g/mol], affinity; or what is not known.

    Parameters
    ----------
    cas : str
        CAS number.
    temperature : float
        [K].
    """
    known = properties(cas, temperature=temperature)
    wanted = {
        "saturation pressure": known.saturation_pressure,
        "liquid density": known.liquid_density,
        "molar mass": known.molar_mass,
        "polarisability": known.molar_polarisability,
    }
    values = [item.value for item in wanted.values() if isinstance(item, Sourced)]
    if len(values) < len(wanted):
        lacking = [name for name, item in wanted.items() if not isinstance(item, Sourced)]
        return f"not known: {', '.join(lacking)}"
    return values[0], values[1] * 1e-3, values[2], float(affinity(np.asarray(values[3])))


def read_points(text: str, *, file: str = "points") -> tuple[Points, tuple[str, ...]]:
    """Measured points, and remarks on rows that were left out.

    Parameters
    ----------
    text : str
        CSV with ``cas, temperature_K, partial_pressure_Pa, loading_g_per_g``.
    file : str
        Named in messages.

    Raises
    ------
    InputError
        With every fault: row, column, what was found, and the mend.

    Notes
    -----
    Left out, with a remark: points of zero loading, of water, more than a quarter above saturation, and of vapours
    whose properties are not known.
    """
    needed = ("cas", "temperature_K", "partial_pressure_Pa", "loading_g_per_g")
    rows = read_table(text, file=file, needed=needed)
    faults = cas_faults(rows, file=file)
    numbers = columns_of(rows, CHECKS, file=file, faults=faults)
    if faults:
        raise InputError(faults)
    kept: list[str] = []
    cells: list[tuple[float, ...]] = []
    left: dict[str, list[int]] = {}
    for at, (number, row) in enumerate(rows):
        cas = row["cas"]
        temperature, pressure, loading = (float(numbers[name][at]) for name in needed[1:])
        state = states(cas, temperature) if cas != WATER else "water is not fitted with vapours"
        if isinstance(state, str):
            left.setdefault(f"{cas}: {state}", []).append(number)
        elif loading <= 0.0:
            left.setdefault("nothing held", []).append(number)
        elif pressure > _MOST_ABOVE * state[0]:
            left.setdefault(f"{cas}: above saturation; is the pressure in Pa?", []).append(number)
        else:
            kept.append(cas)
            cells.append((temperature, pressure, *state, loading / state[1]))
    remarks = tuple(f"{why}: {len(at)} rows left out, first row {at[0]}" for why, at in left.items())
    if len(cells) < 3:
        raise InputError(
            Problem(
                "fewer than three points are left",
                "; ".join(remarks) or "Give at least three measured points.",
                file=file,
            )
        )
    columns = np.asarray(cells).T
    return Points(tuple(kept), *columns), remarks
