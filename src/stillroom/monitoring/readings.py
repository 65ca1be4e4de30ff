"""Instruments, what they read, and how wrong they are. Pure data."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from stillroom.errors import InputError, Problem
from stillroom.units import GAS_CONSTANT, STANDARD_PRESSURE, DecimalMark, QuantityError, parse_number

__all__ = [
    "POINTS",
    "Instrument",
    "InstrumentErrors",
    "Point",
    "Reading",
    "Response",
    "ppm_of",
    "value_in_ppm",
]

Point = Literal["cabinet", "between beds", "exhaust", "room"]
POINTS: tuple[Point, ...] = ("cabinet", "between beds", "exhaust", "room")
"""Where an instrument is put; "cabinet" is the air to the filter."""

_ISOBUTYLENE = 56.11
"""Molar mass [g/mol]."""
_REFERENCE_TEMPERATURE = 298.15
"""Of the mg/m³ that instruments show [K]."""


@dataclass(frozen=True, slots=True)
class Response:
    """Response factor: ppm of the vapour per ppm shown as isobutylene, from the instrument's manual."""

    factor: float
    within: float = 1.25
    """90 % lie within factor ÷ within … factor × within [-] (assumption: manuals differ by this much)"""
    source: str = "user"


@dataclass(frozen=True, slots=True)
class InstrumentErrors:
    """Standard errors of an instrument; each default is common practice, no source."""

    calibration: float = 0.05
    """relative, right after a calibration"""
    drift_per_month: float = 0.03
    """relative, a month of 30 days since the calibration"""
    never_calibrated: float = 0.42
    """relative where no calibration is known: 90 % within a factor of two"""
    repeatability: float = 0.05
    """relative, from one reading to the next"""
    zero_ppm: float | None = None
    """of the zero on the day [ppm]; None: that of the detection limit"""


@dataclass(frozen=True, slots=True)
class Instrument:
    """A photoionisation detector, or an instrument that answers to one substance (`target_cas`)."""

    key: str
    name: str
    detection_limit_ppm: float
    """as isobutylene; of the target where there is one [ppm]"""
    lamp_eV: float = 10.6
    responses: Mapping[str, Response] = field(default_factory=dict)
    """CAS number → response factor"""
    calibrated: tuple[datetime.date, ...] = ()
    target_cas: str = ""
    errors: InstrumentErrors = InstrumentErrors()

    def __post_init__(self) -> None:
        faults = []
        if not (math.isfinite(self.detection_limit_ppm) and self.detection_limit_ppm > 0.0):
            faults.append(
                _fault(
                    "the detection limit must be above zero", "Write ppm, like 0.01", self.detection_limit_ppm
                )
            )
        if not self.target_cas and not 8.0 < self.lamp_eV < 13.0:
            faults.append(_fault("no such lamp", "Use 10.0, 10.6 or 11.7 eV", self.lamp_eV))
        for cas, response in self.responses.items():
            if not (
                math.isfinite(response.factor) and response.factor > 0.0 and 1.0 <= response.within <= 100.0
            ):
                faults.append(
                    _fault(
                        f"the response factor of {cas} is none", "Take it from the manual", response.factor
                    )
                )
        if faults:
            raise InputError(faults)

    def last_calibrated(self, on: datetime.date) -> datetime.date | None:
        """The last calibration not after `on`; None where none is known."""
        return max((day for day in self.calibrated if day <= on), default=None)


@dataclass(frozen=True, slots=True)
class Reading:
    """One value at one point. `value_ppm` is None where the instrument showed nothing above its limit."""

    point: Point
    on: datetime.date
    instrument: Instrument
    value_ppm: float | None = None
    """[ppm as isobutylene], or of the instrument's target"""
    detection_limit_ppm: float | None = None
    """of this reading, where it differs from the instrument's [ppm]"""
    bed_number: int = 1
    """"between beds": behind which bed"""
    key: str = ""
    series: str = ""
    """name of the fixed sensor's series that it sums up"""

    def __post_init__(self) -> None:
        faults = []
        if self.point not in POINTS:
            faults.append(_fault("no such point", f"Choose {', '.join(POINTS)}", self.point))
        if self.value_ppm is not None and not math.isfinite(self.value_ppm):
            faults.append(_fault("the value is no number", "Write ppm, or below the limit", self.value_ppm))
        limit = self.detection_limit_ppm
        if limit is not None and not (math.isfinite(limit) and limit > 0.0):
            faults.append(_fault("the detection limit must be above zero", "Write ppm, like 0.01", limit))
        if faults:
            raise InputError(faults)

    @property
    def limit_ppm(self) -> float:
        """Detection limit that holds for it [ppm]."""
        return self.detection_limit_ppm or self.instrument.detection_limit_ppm

    @property
    def below(self) -> bool:
        """Whether it says no more than “below the detection limit”."""
        return self.value_ppm is None or self.value_ppm < self.limit_ppm


def ppm_of(value: float, unit: str, *, molar_mass_g_mol: float = _ISOBUTYLENE) -> float:
    """A value as ppm, from ppm, ppb, mg/m³ or µg/m³ at 25 °C and one atmosphere [ppm].

    Parameters
    ----------
    value : float
        As shown [unit].
    unit : str
        "ppm", "ppb", "mg/m3" or "ug/m3".
    molar_mass_g_mol : float
        Of what the instrument is scaled in [g/mol]; isobutylene unless told.

    Examples
    --------
    >>> round(ppm_of(2.2949, "mg/m3"), 3)
    1.001
    """
    written = unit.strip().lower().replace("µ", "u").replace("μ", "u").replace("³", "3").replace("^", "")
    mass = GAS_CONSTANT * _REFERENCE_TEMPERATURE / STANDARD_PRESSURE * 1e3 / molar_mass_g_mol
    factors = {"ppm": 1.0, "ppmv": 1.0, "ppb": 1e-3, "ppbv": 1e-3, "mg/m3": mass, "ug/m3": 1e-3 * mass}
    if written not in factors:
        raise InputError(Problem("this unit is not read", "Use ppm, ppb, mg/m3 or ug/m3", found=unit))
    return value * factors[written]


def value_in_ppm(
    text: str, unit: str = "ppm", *, molar_mass_g_mol: float = _ISOBUTYLENE, decimal: DecimalMark = ""
) -> tuple[float, bool]:
    """A value as typed: its number [ppm], and whether a “<” stood before it.

    Parameters
    ----------
    text : str
        "0.12", "0,12", "< 0.05".
    unit : str
        As in `ppm_of`.
    molar_mass_g_mol : float
        As in `ppm_of` [g/mol].
    decimal : {"", ".", ","}
        The decimal mark, where it is known.

    Examples
    --------
    >>> value_in_ppm("< 50", "ppb")
    (0.05, True)
    """
    bare = text.strip()
    below = bare.startswith("<")
    try:
        number = parse_number(bare.lstrip("< "), decimal=decimal)
    except QuantityError as error:
        what, _, mend = str(error).rpartition(". ")
        raise InputError(Problem(what, f"{mend}.", found=text)) from None
    return ppm_of(number, unit, molar_mass_g_mol=molar_mass_g_mol), below


def _fault(what: str, mend: str, found: object) -> Problem:
    return Problem(what, f"{mend}.", found=str(found))
