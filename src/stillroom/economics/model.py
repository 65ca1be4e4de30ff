"""What a comparison of a filtered with a ducted cabinet needs to know. Pure data."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.economics.climate import Climate
from stillroom.media.model import Interval
from stillroom.units import STANDARD_PRESSURE

__all__ = ["Case", "Ducted", "Filtered", "Plant", "Prices", "Room", "exactly"]


def exactly(value: float, source: str = "user") -> Interval:
    """An interval of no width.

    Parameters
    ----------
    value : float
        In the unit of the field that it goes to [any].
    source : str
        Key of the bibliography.
    """
    return Interval(value, value, value, source)


NOTHING = exactly(0.0)


@dataclass(frozen=True, slots=True)
class Room:
    """The state that the room's air is kept at."""

    temperature: Interval
    """[°C]"""
    relative_humidity: Interval
    """[-]"""
    pressure: float = STANDARD_PRESSURE
    """[Pa]"""


@dataclass(frozen=True, slots=True)
class Plant:
    """What turns outdoor air into room air."""

    cooling_cop: Interval
    """heat removed over electricity used, of the whole plant over the year [-]"""
    heating_efficiency: Interval
    """heat delivered over fuel or electricity bought [-]"""
    humidifies: bool = False
    """whether dry outdoor air is humidified to the room's state"""
    reheats: bool = False
    """whether air that was cooled to be dried is heated again to the room's temperature"""
    recovery: Interval = NOTHING
    """share of the enthalpy difference that a heat recovery gives back [-]"""


@dataclass(frozen=True, slots=True)
class Prices:
    """Money, all in `currency`."""

    currency: str
    electricity: Interval
    """[currency/kWh]"""
    heat: Interval
    """of the fuel or electricity that heats [currency/kWh]"""


@dataclass(frozen=True, slots=True)
class Ducted:
    """The cabinet that throws its air away, at the same flow."""

    fan: Interval
    """[W]"""
    upkeep: Interval
    """inspection of duct and fan [currency/year]"""
    installation: Interval
    """duct, roof fan, controls and the work, more than the filtered one's [currency]"""
    lasts_years: float
    """over which the installation is spread evenly, without interest [year]"""


@dataclass(frozen=True, slots=True)
class Filtered:
    """The cabinet that gives its air back."""

    fan: Interval
    """[W]"""
    filter_life_days: Interval
    """service life, as assessed [day]"""
    filter_set: Interval
    """one set, changed and disposed of [currency]"""
    visits_per_year: Interval
    """[1/year]"""
    visit: Interval
    """[currency]"""


@dataclass(frozen=True, slots=True)
class Case:
    """One comparison."""

    name: str
    flow: float
    """through either cabinet [m³/s]"""
    running_hours: float
    """a year [h]"""
    room: Room
    climate: Climate
    plant: Plant
    prices: Prices
    ducted: Ducted
    filtered: Filtered
    invented: bool = False
