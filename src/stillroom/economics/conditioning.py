"""The heat that outdoor air needs to become room air."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from stillroom.errors import InputError, Problem

__all__ = ["Demand", "MoistAir", "demand", "moist_air"]


@dataclass(frozen=True, slots=True)
class MoistAir:
    """A state of moist air, per kilogram of dry air."""

    enthalpy: float
    """[kJ/kg]"""
    humidity_ratio: float
    """[kg/kg]"""
    volume: float
    """[m³/kg]"""


@dataclass(frozen=True, slots=True)
class Demand:
    """Heat taken from, or given to, a kilogram of dry outdoor air on its way to the room's state. [kJ/kg]"""

    cooling: float
    heating: float
    humidifying: float


@cache
def _psychrometrics() -> Any:
    """psychrolib in SI units, as the plain Python it is written in.

    Where numba is installed psychrolib wraps its functions for arrays, and compiles them at their first call after each
    choice of units: minutes for a few thousand states, which need milliseconds. Its own functions are put back.
    """
    import psychrolib

    if psychrolib.has_numba:
        psychrolib.has_numba = False
        psychrolib.isIP = psychrolib.isIP.py_func
        for name, function in psychrolib.func_list:
            setattr(psychrolib, name, function)
    psychrolib.SetUnitSystem(psychrolib.SI)
    return psychrolib


def moist_air(temperature: float, relative_humidity: float, pressure: float) -> MoistAir:
    """The state of moist air.

    Parameters
    ----------
    temperature : float
        Dry-bulb [°C], −60 … 60.
    relative_humidity : float
        [-], 0 … 1.
    pressure : float
        [Pa].

    Notes
    -----
    The equations of the ASHRAE Handbook—Fundamentals, chapter Psychrometrics, as coded in psychrolib.
    """
    if not (-60.0 <= temperature <= 60.0 and 0.0 <= relative_humidity <= 1.0):
        raise InputError(
            Problem("the state of the air is outside −60 … 60 °C or 0 … 1", "Mend the climate or the room.")
        )
    psychrolib = _psychrometrics()
    ratio = psychrolib.GetHumRatioFromRelHum(temperature, relative_humidity, pressure)
    return MoistAir(
        psychrolib.GetMoistAirEnthalpy(temperature, ratio) / 1000.0,
        ratio,
        psychrolib.GetMoistAirVolume(temperature, ratio, pressure),
    )


def _dew_point(humidity_ratio: float, temperature: float, pressure: float) -> float:
    psychrolib = _psychrometrics()
    return float(psychrolib.GetTDewPointFromHumRatio(temperature, humidity_ratio, pressure))


def demand(
    outdoor: tuple[float, float],
    room: tuple[float, float],
    *,
    pressure: float,
    humidifies: bool = False,
    reheats: bool = False,
) -> Demand:
    """What a kilogram of dry air costs between two states.

    Parameters
    ----------
    outdoor, room : (float, float)
        Dry-bulb temperature [°C] and relative humidity [-].
    pressure : float
        [Pa].
    humidifies : bool
        Dry air is brought to the room's humidity ratio; else it stays dry.
    reheats : bool
        Air that was cooled to the room's dew point is heated again.

    Notes
    -----
    Sensible part cp (T_out − T_room) and latent part h_fg (W_out − W_room) each in the plant that serves it:
    heat is removed where either is positive, added where the sensible one is negative; the water that condenses leaves with its
    own enthalpy at the room's dew point. With reheating the air is cooled to that dew point first.

    Heat balance of a cooling coil and a heater: ASHRAE Handbook—Fundamentals, chapter Psychrometrics, typical processes.
    """
    out, inside = moist_air(*outdoor, pressure), moist_air(*room, pressure)
    condensed = max(out.humidity_ratio - inside.humidity_ratio, 0.0)
    # along one leg the temperature changes at the smaller humidity ratio, along the other the humidity at room temperature
    ratio = min(out.humidity_ratio, inside.humidity_ratio)
    sensible = (1.006 + 1.86 * ratio) * (outdoor[0] - room[0])
    latent = (out.enthalpy - inside.enthalpy) - sensible
    dew_point = _dew_point(inside.humidity_ratio, room[0], pressure)
    cooling, heating = max(sensible, 0.0), max(-sensible, 0.0)
    if condensed > 0.0:
        cooling += max(latent - condensed * 4.186 * max(dew_point, 0.0), 0.0)
        if reheats:
            below = (1.006 + 1.86 * inside.humidity_ratio) * (min(room[0], outdoor[0]) - dew_point)
            cooling += max(below, 0.0)
            heating += max(below, 0.0)
    wet = max(-latent, 0.0) if humidifies else 0.0
    return Demand(cooling, heating, wet)
