"""Partial pressure of one solute over its solution in water: published tables, Henry constants, formulas."""

from __future__ import annotations

import csv
import math
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import resources
from itertools import pairwise

import numpy as np

from stillroom.sources import Missing, Origin, Sourced
from stillroom.units import GAS_CONSTANT

__all__ = [
    "Pressure",
    "formaldehyde_pressure",
    "henry_pressure",
    "hydrogen_peroxide_pressure",
    "strongest",
    "sulphuric_acid_pressure",
    "table_pressure",
    "van_laar",
    "water_activity_coefficient",
]

MMHG = 133.322387415
"""Pascal in a conventional millimetre of mercury [Pa] (NIST SP 811, B.8)."""
_LOWEST, _HIGHEST = 268.15, 323.15
_WEAKEST = 9.0
"""formaldehyde: weakest solution that was measured [%]"""


@dataclass(frozen=True, slots=True)
class Pressure:
    """A partial pressure [Pa] and the factor within which the truth lies at 90 %."""

    value: Sourced | Missing
    factor: float = 1.0


@dataclass(frozen=True, slots=True)
class _Table:
    """ln(p/w) on strengths w (rows) at reciprocal temperatures; `slopes` = d ln p / d(1/T) of each row."""

    fractions: tuple[float, ...]
    log_ratio: tuple[tuple[tuple[float, float], ...], ...]
    """a row: ((1/T, ln(p/w)), …) in order of rising temperature"""
    enthalpy: float
    factor: float
    source: str
    origin: Origin
    locator: str


def _rows(name: str) -> Iterator[dict[str, str]]:
    text = (resources.files("stillroom.emission") / "data" / name).read_text("utf-8")
    yield from csv.DictReader(text.splitlines())


def _sidecar(name: str) -> dict[str, dict[str, str | float]]:
    text = (resources.files("stillroom.emission") / "data" / name).read_text("utf-8")
    return tomllib.loads(text)


def _mass_fraction(amount: float, unit: str) -> float:
    return amount / 100.0 if unit == "wt%" else amount / (100.0 + amount)


@cache
def _tables() -> dict[str, _Table]:
    points: dict[str, dict[float, list[tuple[float, float]]]] = {}
    for row in _rows("aqueous_pressures.csv"):
        w = _mass_fraction(float(row["amount"]), row["amount_unit"])
        reciprocal = 1.0 / (float(row["temperature_C"]) + 273.15)
        value = math.log(float(row["pressure_mmHg"]) * MMHG / w)
        points.setdefault(row["cas"], {}).setdefault(w, []).append((reciprocal, value))
    tables = {}
    for cas, fields in _sidecar("aqueous_pressures.toml").items():
        strengths = sorted(points[cas])
        tables[cas] = _Table(
            tuple(strengths),
            tuple(tuple(sorted(points[cas][w], reverse=True)) for w in strengths),
            float(fields["enthalpy"]),
            float(fields["factor"]),
            str(fields["source"]),
            Origin(str(fields["origin"])),
            str(fields["locator"]),
        )
    return tables


def _at_temperature(row: tuple[tuple[float, float], ...], temperature: float, enthalpy: float) -> float:
    """ln(p/w) of one strength at a temperature: straight in 1/T, beyond the points by the end slope."""
    target = 1.0 / temperature
    if len(row) == 1:
        return row[0][1] - enthalpy / GAS_CONSTANT * (target - row[0][0])
    pairs = pairwise(row)
    (u, a), (v, b) = next(((p, q) for p, q in pairs if target >= q[0]), (row[-2], row[-1]))
    return a + (b - a) * (target - u) / (v - u)


def strongest(cas: str) -> float | None:
    """Mass fraction of the strongest solution that is sold or listed [-]; None where none is."""
    sold = {"7664-41-7": 0.35, "50-00-0": 0.5, "7664-93-9": 0.985, "7722-84-1": 1.0}
    if cas in sold or cas not in _tables():
        return sold.get(cas)
    return _tables()[cas].fractions[-1]


def table_pressure(cas: str, *, mass_fraction: float, temperature: float) -> Pressure | None:
    """Partial pressure over the solution in water from a published table [Pa]; None where no table holds it.

    Parameters
    ----------
    cas : str
        The solute.
    mass_fraction : float
        Of the solute [-].
    temperature : float
        [K]

    Returns
    -------
    Pressure or None

    Validity
    --------
    Between the table's strengths ln(p/w) is straight in w. Below the weakest, p/w is kept (Henry's law for
    ammonia, the upper end for acids, whose p/w falls). Above the strongest the answer is Missing. −5 … 50 °C.

    Notes
    -----
    Sources in ``data/aqueous_pressures.toml``.

    Examples
    --------
    Perry's handbook, 30 % hydrochloric acid at 25 °C: 15.1 mmHg.

    >>> p = table_pressure("7647-01-0", mass_fraction=0.30, temperature=298.15)
    >>> round(p.value.value / 133.322, 1)
    15.1
    """
    table = _tables().get(cas)
    if table is None:
        return None
    if not _LOWEST <= temperature <= _HIGHEST:
        return Pressure(Missing("partial pressures over solutions are held for −5 to 50 °C only"))
    if mass_fraction > table.fractions[-1] + 0.005:
        return Pressure(
            Missing(
                f"the table of pressures over the solution ends at {table.fractions[-1]:.0%}; "
                f"{mass_fraction:.0%} lies above it"
            )
        )
    levels = [_at_temperature(row, temperature, table.enthalpy) for row in table.log_ratio]
    ratio = math.exp(float(np.interp(mass_fraction, table.fractions, levels)))
    note = "below the table's weakest solution: proportional" if mass_fraction < table.fractions[0] else ""
    return Pressure(
        Sourced(ratio * mass_fraction, "Pa", table.source, table.origin, table.locator, note), table.factor
    )


def formaldehyde_pressure(*, mass_fraction: float, temperature: float) -> Pressure:
    """Partial pressure of formaldehyde over its solution in water [Pa].

    Parameters
    ----------
    mass_fraction : float
        Of formaldehyde [-].
    temperature : float
        [K]

    Validity
    --------
    0–50 % and −5 … 50 °C; above 50 % Missing. Methanol in the solution lowers the pressure a little: left
    out (cautious).

    Notes
    -----
    log10(p/mmHg) = 9.941 − 0.953·0.488^(w/10) − 2905/T, w in per cent (Ledbury & Blair) [ledbury-blair-1925];
    below 9 % ln(p/w) goes straight to Henry's law at w = 0, 3240 mol/(L·atm) at 25 °C, 6800 K [sander-2015].

    Examples
    --------
    Ledbury & Blair measured 0.34 mmHg over 9.25 % at 20 °C.

    >>> p = formaldehyde_pressure(mass_fraction=0.0925, temperature=293.15)
    >>> round(p.value.value / 133.322, 2)
    0.35
    """
    if mass_fraction > 0.505 or not _LOWEST <= temperature <= _HIGHEST:
        return Pressure(Missing("the formula for formaldehyde over water holds to 50 % and from −5 to 50 °C"))
    per_cent = max(100.0 * mass_fraction, _WEAKEST)
    logarithm = 9.941 - 0.953 * 0.488 ** (per_cent / 10.0) - 2905.0 / temperature
    measured = 10.0**logarithm * MMHG / (per_cent / 100.0)
    solubility = 3240.0 * math.exp(6800.0 * (1.0 / temperature - 1.0 / 298.15))
    dilute = 1000.0 / 30.03 / solubility * 101325.0
    share = min(100.0 * mass_fraction / _WEAKEST, 1.0)
    value = mass_fraction * dilute ** (1.0 - share) * measured**share
    return Pressure(Sourced(value, "Pa", "ledbury-blair-1925", Origin.MEASURED, "equation"), 1.2)


def hydrogen_peroxide_pressure(*, mass_fraction: float, temperature: float) -> Pressure:
    """Partial pressure of hydrogen peroxide over its solution in water [Pa].

    Parameters
    ----------
    mass_fraction : float
        Of hydrogen peroxide [-].
    temperature : float
        [K]

    Validity
    --------
    0–100 %, −5 … 50 °C.

    Notes
    -----
    Pure: log10(p/mmHg) = 44.5760 − 4025.3/T − 12.996 log10 T + 0.0046055 T [schumb-1955]; times x γ with
    ln γ = −1.0 (1 − x)², from memory and above the Henry end (γ∞ about 0.25).
    """
    if not _LOWEST <= temperature <= _HIGHEST:
        return Pressure(Missing("the formula for hydrogen peroxide is used from −5 to 50 °C"))
    logarithm = 44.5760 - 4025.3 / temperature - 12.996 * math.log10(temperature) + 0.0046055 * temperature
    x = (mass_fraction / 34.01) / (mass_fraction / 34.01 + (1.0 - mass_fraction) / 18.015)
    value = 10.0**logarithm * MMHG * x * math.exp(-((1.0 - x) ** 2))
    return Pressure(Sourced(value, "Pa", "schumb-1955", Origin.COMPUTED, "vapour pressure of pure H2O2"), 1.4)


def sulphuric_acid_pressure(*, mass_fraction: float, temperature: float) -> Pressure:
    """Upper end of the partial pressure of sulphuric acid over its solution in water [Pa].

    Parameters
    ----------
    mass_fraction : float
        Of sulphuric acid [-].
    temperature : float
        [K]

    Validity
    --------
    To 100 %; above it (oleum) Missing. Weaker acid gives far less: the value of 98 % is kept for all
    (cautious).

    Notes
    -----
    ln(p/atm) = 16.259 − 10156/T [ayers-1980].
    """
    if mass_fraction > 1.0:
        return Pressure(Missing("above 100 % (oleum) sulphur trioxide is given off; no table for it"))
    value = math.exp(16.259 - 10156.0 / temperature) * 101325.0
    return Pressure(Sourced(value, "Pa", "ayers-1980", Origin.COMPUTED, "azeotropic acid"), 2.0)


def henry_pressure(
    cas: str, *, mass_fraction: float, molar_mass: float, temperature: float
) -> Pressure | None:
    """Partial pressure of a gas over water by Henry's law [Pa]; None where no constant is held.

    Parameters
    ----------
    cas : str
        The gas.
    mass_fraction : float
        [-]
    molar_mass : float
        [g/mol]
    temperature : float
        [K]

    Validity
    --------
    Dilute; the solution's density is taken as that of water.

    Notes
    -----
    H(T) = H(298.15)·exp(B(1/T − 1/298.15)) [sander-2015].
    """
    for row in _henry():
        if row["cas"] == cas:
            slope = float(row["temperature_coefficient_K"])
            solubility = float(row["solubility_M_atm"]) * math.exp(slope * (1.0 / temperature - 1.0 / 298.15))
            value = mass_fraction * 1000.0 / molar_mass / solubility * 101325.0
            note = "Henry's law, infinite dilution"
            return Pressure(
                Sourced(value, "Pa", row["source"], Origin(row["origin"]), row["name"], note), 1.3
            )
    return None


@cache
def _henry() -> tuple[dict[str, str], ...]:
    return tuple(_rows("henry.csv"))


def van_laar(x: float, *, a12: float, a21: float) -> float:
    """Activity coefficient of component 1 in a binary, exp[A12 (A21 x2/(A12 x1 + A21 x2))²] [-].

    Parameters
    ----------
    x : float
        Mole fraction of component 1 [-].
    a12, a21 : float
        Constants, natural logarithm [-].

    Validity
    --------
    Constants of one sign; both zero gives 1.

    Notes
    -----
    van Laar's equation [perry-7].

    Examples
    --------
    Ethanol at infinite dilution in water by Perry's constants: e^1.68.

    >>> round(van_laar(0.0, a12=1.6798, a21=0.9227), 2)
    5.36
    """
    below = a12 * x + a21 * (1.0 - x)
    return 1.0 if below == 0.0 else math.exp(a12 * (a21 * (1.0 - x) / below) ** 2)


@cache
def _activity() -> dict[str, dict[str, str]]:
    return {row["cas"]: row for row in _rows("aqueous_activity.csv")}


def water_activity_coefficient(cas: str, *, x: float) -> tuple[float, str] | None:
    """Activity coefficient of a solvent in water [-] and its source; None where none is held.

    Parameters
    ----------
    cas : str
        The solvent.
    x : float
        Its mole fraction [-].

    Validity
    --------
    Binaries with water at room temperature; constants in ``data/aqueous_activity.csv``.

    Notes
    -----
    `van_laar`.
    """
    row = _activity().get(cas)
    if row is None:
        return None
    return van_laar(x, a12=float(row["a12"]), a21=float(row["a21"])), row["source"]
