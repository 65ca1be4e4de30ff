"""A filter medium and a filter stack. Pure data."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = [
    "Bed",
    "FilterStack",
    "Impregnation",
    "Interval",
    "Medium",
    "ParticulateFilter",
    "Served",
    "WaterUptake",
]


@dataclass(frozen=True, slots=True)
class Interval:
    """5, 50 and 95 % of an uncertain number; `source` is a key of the bibliography."""

    p05: float
    p50: float
    p95: float
    source: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Impregnation:
    """Irreversible uptake of one family by stoichiometry.

    `family` is formaldehyde, ammonia, acid gas, hydrogen sulphide or mercury; `capacity` is g of the named
    reference substance (`reference_cas`) per g of medium; other members scale by moles.
    """

    family: str
    reference_cas: str
    capacity: Interval
    """[g/g]"""
    conditions: str = ""
    at_humidity: tuple[tuple[float, float], ...] = ()
    """relative humidity, rising, and the factor on the capacity in such air; none: 1 in any"""


@dataclass(frozen=True, slots=True)
class WaterUptake:
    """Water that a medium was measured to hold."""

    relative_humidity: float
    """[-]"""
    loading: float
    """[g/g]"""


@dataclass(frozen=True, slots=True)
class Medium:
    """An adsorbent with its properties; each interval carries its source."""

    name: str
    title: str
    micropore_volume: Interval
    """W0 [cm³/g]"""
    characteristic_energy: Interval
    """Characteristic energy E0 of the reference vapour benzene [kJ/mol]"""
    bulk_density: Interval
    """[kg/m³]"""
    grain_diameter: Interval
    """[m]"""
    void_fraction: float = 0.4
    impregnations: tuple[Impregnation, ...] = ()
    water_uptake: tuple[WaterUptake, ...] = ()
    """its own; none: what is known of carbons at large"""
    source: str = ""
    version: str = "1"
    note: str = ""


@dataclass(frozen=True, slots=True)
class Bed:
    """One layer of a medium. Depth follows from mass, bulk density and area."""

    medium: Medium
    mass: float
    """[kg]"""
    area: float
    """face area [m²]"""


@dataclass(frozen=True, slots=True)
class ParticulateFilter:
    """A particulate filter by its class (ISO 29463 / EN 1822: "H13" or "ISO 35 H", …)."""

    filter_class: str
    area: float | None = None
    """[m²]"""


@dataclass(frozen=True, slots=True)
class Served:
    """What the filter in place was fed with for a time, before what is asked about now."""

    days: float
    vapours: tuple[tuple[str, float], ...]
    """CAS number and mean concentration in the air to the filter [mg/m³]; what is not named came as it comes now"""
    uncertainty_factor: float = 2.0
    """5 and 95 % lie at the concentrations divided and multiplied by it [-]"""


@dataclass(frozen=True, slots=True)
class FilterStack:
    """Filters in the order in which the air meets them, and the by-pass of their seals."""

    particulate: ParticulateFilter | None
    beds: tuple[Bed, ...]
    seal_bypass: Interval
    """fraction b of the flow that goes round: exhaust = (1 − b)·outlet + b·inlet"""
    installed: str = ""
    """ISO date, empty where new"""
    served: tuple[Served, ...] = ()
    """since then, with other contents or in other air; in any order"""

    @property
    def served_days(self) -> float:
        """All of them together [days]."""
        return sum(period.days for period in self.served)
