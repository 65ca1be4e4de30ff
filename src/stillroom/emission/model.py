"""What evaporation gives: `Release` and `Spill`; and the intervals it rests on."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from stillroom.media.model import Interval

__all__ = ["Release", "Spill", "interval", "intervals"]

Array = NDArray[np.float64]


@cache
def intervals() -> dict[str, dict[str, Interval]]:
    """Every uncertain number of this room: table -> name -> interval, from ``data/closures.toml``."""
    text = (resources.files("stillroom.emission") / "data" / "closures.toml").read_text("utf-8")
    return {
        table: {name: Interval(**fields) for name, fields in rows.items()}
        for table, rows in tomllib.loads(text).items()
    }


def interval(table: str, name: str) -> Interval:
    """One uncertain number of this room."""
    return intervals()[table][name]


@dataclass(frozen=True, slots=True, eq=False)
class Release:
    """What the containers give off in normal storage, averaged over a week. Water is not listed."""

    cas: tuple[str, ...]
    rate: Array
    """(n_cas, size) [mol/s]"""
    dust_cas: tuple[str, ...]
    dust_rate: Array
    """(n_dust, size) [kg/s] towards the particulate filter"""
    by_container: dict[str, dict[str, float]]
    """container key -> CAS -> median, all its copies together [mol/s]"""
    by_term: dict[str, Array]
    """closure, breathing, openings, walls -> (n_cas, size) [mol/s]; they add up to `rate`"""
    notes: tuple[str, ...] = ()
    """what was assumed, in words"""
    missing: dict[str, str] = field(default_factory=dict)
    """CAS (container key where contents are unknown) -> why no rate could be had; never counted as zero"""


@dataclass(frozen=True, slots=True, eq=False)
class Spill:
    """One container broken: what its pool gives off while it lasts. Water is not listed."""

    cas: tuple[str, ...]
    conductance: Array
    """(n_cas, size) [m³/s]: rate into air that already holds c is conductance · (saturation − c)"""
    saturation: Array
    """(n_cas,) concentration over the pool [mol/m³]"""
    amount: Array
    """(n_cas,) what can evaporate [mol]"""
    pool_area: Array
    """(size,) [m²]"""
    temperature: float
    """at the break [K]"""
    pressure: float
    """of the air [Pa]"""
    mass: float
    """of the contents, water included [kg]"""
    molar_mass: Array
    """(n_cas,) [kg/mol]"""
    latent_temperature: Array
    """(n_cas,) heat of evaporation from these contents over R [K]"""
    exponent: Array
    """(n_cas,) d ln p / d ln w, how the pressure falls with the mass fraction w; 0 for a pure liquid [-]"""
    heat_capacity: Array
    """(size,) of pool and tray [J/K]"""
    warming: Array
    """(size,) heat that comes to the pool by degree below the air [W/K]"""
    dust_cas: tuple[str, ...] = ()
    dust: Array | None = None
    """(n_dust, size) airborne at the break [kg]"""
    notes: tuple[str, ...] = ()
    missing: dict[str, str] = field(default_factory=dict)

    @property
    def rate(self) -> Array:
        """Into clean air while the pool lasts, (n_cas, size) [mol/s]."""
        return np.asarray(self.conductance * self.saturation[:, None])

    def lasting(self) -> Array:
        """How long the pool lasts in clean air, (n_cas, size) [s]; infinite where nothing evaporates."""
        with np.errstate(divide="ignore"):
            return np.asarray(self.amount[:, None] / self.rate)

    def mean_rate(self, seconds: float) -> Array:
        """Rate averaged over the time from the break, exhaustion included, (n_cas, size) [mol/s].

        Parameters
        ----------
        seconds : float
            Time from the break, above zero [s].
        """
        return np.asarray(np.minimum(self.rate, self.amount[:, None] / seconds))

    def mean_dust_rate(self, seconds: float) -> Array:
        """Dust averaged over the time from the break, (n_dust, size) [kg/s].

        Parameters
        ----------
        seconds : float
            Time from the break, above zero [s].
        """
        if self.dust is None:
            return np.zeros((0, self.pool_area.size))
        return np.asarray(self.dust / seconds)
