"""Saturation pressure of the phase that is there, and the heat that goes with it."""

from __future__ import annotations

import math
from functools import cache

from stillroom.sources import Missing, Origin, Sourced
from stillroom.substances.properties.constants import boiling_point, melting_point, phase, unknown_substance
from stillroom.substances.properties.curves import Curve, extend, liquid_curves, pick, slope, solid_curves
from stillroom.substances.properties.estimates import FUSION_ENTROPY, fugacity_ratio, grain, simpol_bound
from stillroom.substances.properties.involatile import BOUND, involatile, salt_kind, typed_involatile
from stillroom.substances.properties.tables import identity, matches, row, typed_rows
from stillroom.units import GAS_CONSTANT, STANDARD_PRESSURE

__all__ = ["heat_of_vaporisation", "saturation_pressure"]

_NEAR = 5.0
"""Beyond a curve's range by no more than this, its value still counts as measured [K]."""
_FAR = 150.0
"""Beyond a curve's range by more than this, it is not used at all [K]."""
_CRITICAL = ("HEOS", "IUPAC", "MATTHEWS", "CRC", "PSRK", "WEBBOOK")
_UNITS = {"Pa": 1.0, "kPa": 1e3, "mmHg": 133.322387415, "atm": 101325.0, "hPa": 100.0}


def saturation_pressure(cas: str, *, temperature: float) -> Sourced | Missing:
    """Saturation pressure of the pure substance [Pa]: over the liquid, or below the melting point the solid.

    Parameters
    ----------
    cas : str
        CAS number.
    temperature : float
        Temperature [K].

    Notes
    -----
    Asked in this order: Stillroom's own typed materials and points; "involatile" (`involatile`); a published curve of
    the phase, within its range or continued by Clausius–Clapeyron; for a solid, the liquid's pressure at
    the melting point and the heat of sublimation; the boiling point (`estimates.grain`); the structure, as
    an upper bound. Validity: 250–330 K, for which the choices were checked; a continued or estimated value
    says so in its note.
    """
    material = typed_involatile(cas)
    if material is not None:
        return material
    if identity(cas) is None:
        return unknown_substance(cas)
    typed = _typed(cas, temperature)
    if typed is not None:
        return typed
    bound = involatile(cas, melting_point(cas))
    if bound is not None and not solid_curves(cas) and not liquid_curves(cas):
        return bound
    state = phase(cas, temperature=temperature)
    if state == "gas" and _supercritical(cas, temperature):
        return Missing("a gas above its critical temperature: it has no saturation pressure")
    found = _solid(cas, temperature) if state == "solid" else _liquid(cas, temperature)
    found = found or bound or _from_structure(cas, temperature)
    if found is None:
        return Missing(_reason(cas, state))
    if found.value < BOUND:
        words = (
            f"involatile at room temperature (upper bound; {found.source} would give {found.value:.1g} Pa)"
        )
        return Sourced(BOUND, "Pa", found.source, Origin.ESTIMATED, found.locator, words)
    return found


def _reason(cas: str, state: str) -> str:
    known = identity(cas)
    if state == "gas":
        return "a gas without a published vapour pressure"
    if known is not None and salt_kind(known.smiles) == "protonated":
        return "a salt of ammonia or an amine that may give off both its parts: no published pressure"
    return "no vapour pressure curve, boiling point or structure in the tables"


def _typed(cas: str, temperature: float) -> Sourced | None:
    """A point that Stillroom states itself, moved to `temperature` with its heat."""
    entry = typed_rows("vapour_pressures").get(cas)
    if entry is None:
        return None
    given = float(entry["pressure"]) * _UNITS[entry["unit"]]
    at = float(entry["temperature_C"]) + 273.15
    heat = float(entry["heat_kJ_mol"]) * 1e3
    value = given * math.exp(-heat / GAS_CONSTANT * (1 / temperature - 1 / at))
    moved = "" if abs(at - temperature) < 1 else f"; moved from {at - 273.15:g} °C with {heat / 1e3:g} kJ/mol"
    note = f"{entry['pressure']} {entry['unit']} at {entry['temperature_C']} °C{moved}"
    note += f"; {entry['note']}" if entry["note"] else ""
    return Sourced(value, "Pa", entry["source"], Origin(entry["origin"]), entry["locator"], note)


def _from_curve(curve: Curve, value: float, temperature: float, spread: float, note: str = "") -> Sourced:
    beyond = curve.distance(temperature)
    origin = Origin.MEASURED if beyond <= _NEAR else Origin.ESTIMATED
    words = [note] if note else []
    if beyond > 0:
        words.append(f"continued {beyond:.0f} K beyond its range")
    if spread > 1.1:
        words.append(f"curves differ by a factor of {spread:.2f}")
    locator = f"{curve.method}, {curve.low:.0f}–{curve.high:.0f} K; through chemicals"
    return Sourced(value, "Pa", curve.source, origin, locator, "; ".join(words))


def _sane(cas: str, temperature: float) -> tuple[Curve, ...]:
    """The liquid's curves without those that pass one atmosphere below the boiling point, by a slip."""
    boiling = boiling_point(cas)
    if not isinstance(boiling, Sourced) or temperature > boiling.value - 10:
        return liquid_curves(cas)
    return tuple(
        curve for curve in liquid_curves(cas) if extend(curve, temperature=temperature) < STANDARD_PRESSURE
    )


def _liquid(cas: str, temperature: float) -> Sourced | None:
    found = pick(_sane(cas, temperature), temperature=temperature)
    if found is not None and found[0].distance(temperature) <= _FAR:
        return None if math.isnan(found[1]) else _from_curve(found[0], found[1], temperature, found[2])
    return _from_boiling_point(cas, temperature)


def _solid(cas: str, temperature: float) -> Sourced | None:
    """Sublimation pressure: its own curve, else from the liquid's at the melting point."""
    found = pick(solid_curves(cas), temperature=temperature)
    if found is not None and found[0].distance(temperature) <= _FAR:
        return _from_curve(found[0], found[1], temperature, found[2], "sublimation pressure")
    melting = melting_point(cas)
    if not isinstance(melting, Sourced):
        return None
    liquid = pick(liquid_curves(cas), temperature=melting.value)
    if liquid is None or liquid[0].distance(melting.value) > _FAR:
        return _from_boiling_point(cas, temperature)
    curve, at_melting, spread = liquid
    heat, words = _heat_of_sublimation(cas, melting.value, curve)
    value = at_melting * math.exp(-heat / GAS_CONSTANT * (1 / temperature - 1 / melting.value))
    note = f"sublimation pressure from the liquid's at {melting.value:.1f} K and {words}"
    sourced = _from_curve(curve, value, melting.value, spread, note)
    return Sourced(sourced.value, "Pa", sourced.source, Origin.ESTIMATED, sourced.locator, sourced.note)


def _heat_of_sublimation(cas: str, melting: float, curve: Curve) -> tuple[float, str]:
    """Heat of sublimation [J/mol] and its words: measured, else heat of vaporisation plus fusion."""
    from chemicals import phase_change

    measured = row(phase_change.Hsub_data_Gharagheizi, cas).get("Hsub")
    end = min(max(melting, curve.low), curve.high * (1 - 1e-6))
    vaporisation = slope(curve, end) * GAS_CONSTANT
    if measured and measured > vaporisation:
        return measured, f"its heat of sublimation, {measured / 1e3:.1f} kJ/mol [gharagheizi-2012]"
    fusion = _heat_of_fusion(cas)
    if fusion is not None:
        return vaporisation + fusion, "its heats of vaporisation and fusion"
    return vaporisation + FUSION_ENTROPY * melting, "its heat of vaporisation and Walden's rule"


def _heat_of_fusion(cas: str) -> float | None:
    """Measured heat of fusion [J/mol], or None."""
    from chemicals.phase_change import Hfus

    for book in ("CRC", "WEBBOOK"):
        value = Hfus(CASRN=cas, method=book)
        if value is not None and math.isfinite(value) and value > 500:
            return float(value)
    return None


def _from_boiling_point(cas: str, temperature: float) -> Sourced | None:
    boiling, melting = boiling_point(cas), melting_point(cas)
    known = identity(cas)
    if not isinstance(boiling, Sourced) or known is None:
        return None
    value = grain(temperature, boiling_point=boiling.value, structure_factor=_fishtine(known.smiles))
    note = f"from the boiling point, {boiling.value:.0f} K [{boiling.source}], within a factor of 3 or so"
    if isinstance(melting, Sourced) and temperature < melting.value:
        value *= fugacity_ratio(temperature, melting_point=melting.value, heat_of_fusion=_heat_of_fusion(cas))
        note += "; solid by its heat of fusion or Walden's rule"
    return Sourced(value, "Pa", "grain-1990", Origin.ESTIMATED, "Eq. 14-25", note)


def _fishtine(smiles: str) -> float:
    """Fishtine's structure factor [-]: 1.1 with OH or NH, 1.06 with N, O or S, else 1.0.

    Grain has 1.3 for alcohols; for glycol ethers and amino alcohols that falls short by ten and more.
    """
    if matches(smiles, "[$([CX4][OX2H]),$([NX3;H1,H2])]"):
        return 1.1
    return 1.06 if matches(smiles, "[#7,#8,#16]") else 1.0


def _supercritical(cas: str, temperature: float) -> bool:
    from chemicals.critical import Tc

    critical = next((value for book in _CRITICAL if (value := Tc(CASRN=cas, method=book)) is not None), None)
    return critical is not None and temperature > critical


def _from_structure(cas: str, temperature: float) -> Sourced | None:
    known, melting = identity(cas), melting_point(cas)
    value = simpol_bound(known.smiles) if known is not None and not salt_kind(known.smiles) else None
    if value is None:
        return None
    if isinstance(melting, Sourced):
        value *= fugacity_ratio(temperature, melting_point=melting.value)
    words = "upper bound from the structure at 20 °C; groups left out only lower it"
    return Sourced(value, "Pa", "pankow-2008", Origin.ESTIMATED, "Table 5, from memory", words)


@cache
def heat_of_vaporisation(cas: str, *, temperature: float = 298.15) -> Sourced | Missing:
    """Molar heat of vaporisation (of sublimation below the melting point) [J/mol].

    Parameters
    ----------
    cas : str
        CAS number.
    temperature : float
        Temperature [K].

    Notes
    -----
    R d ln p/d(−1/T) of the saturation pressure that `saturation_pressure` uses, the vapour ideal.

    Examples
    --------
    Toluene at 25 °C: 38.0 kJ/mol (Majer & Svoboda 1985).

    >>> round(heat_of_vaporisation("108-88-3").value / 1000)
    38
    """
    below = saturation_pressure(cas, temperature=temperature - 1)
    above = saturation_pressure(cas, temperature=temperature + 1)
    if not isinstance(below, Sourced) or not isinstance(above, Sourced):
        return Missing("no saturation pressure, so no heat of vaporisation")
    if below.value == above.value:
        return Missing("the saturation pressure is only an upper bound")
    heat = (
        GAS_CONSTANT * math.log(above.value / below.value) / (1 / (temperature - 1) - 1 / (temperature + 1))
    )
    return Sourced(heat, "J/mol", above.source, Origin.COMPUTED, above.locator, "Clausius–Clapeyron")
