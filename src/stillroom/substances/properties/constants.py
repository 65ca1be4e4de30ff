"""Constants of the pure substance: molar mass, melting and boiling point."""

from __future__ import annotations

from functools import cache
from typing import Literal

from stillroom.sources import Missing, Origin, Sourced
from stillroom.substances.properties.tables import first_of, identity, typed_rows

__all__ = ["boiling_point", "melting_point", "molar_mass", "phase", "unknown_substance"]

# Books in the order in which they are asked. Group-contribution guesses of either point are never used.
_BOILING = ("HEOS", "CRC_INORG", "CRC_ORG", "COMMON_CHEMISTRY", "WEBBOOK", "YAWS")
_NOMINAL = 1000.0
"""[g/mol]"""
_MELTING = ("CRC_INORG", "CRC_ORG", "COMMON_CHEMISTRY", "WEBBOOK", "OPEN_NTBKM", "WIKIDATA")


def unknown_substance(cas: str) -> Missing:
    """The reason given where the tables do not know the CAS number at all."""
    return Missing(f"{cas} is not in the identity tables, or has no formula there")


@cache
def molar_mass(cas: str) -> Sourced | Missing:
    """Molar mass [g/mol], from the formula and the standard atomic weights; a nominal one for polymers, fats and waxes.

    Nothing hangs on the nominal one: it only meets the upper bound of a pressure, or so large a molecule in water.
    """
    known = identity(cas)
    if known is None and cas in typed_rows("involatile"):
        note = "nominal: a polymer, fat, wax or mineral of no one molar mass"
        return Sourced(_NOMINAL, "g/mol", "common-practice", Origin.COMMON_PRACTICE, "", note)
    if known is None:
        return unknown_substance(cas)
    return Sourced(known.molar_mass, "g/mol", "chemicals", Origin.COMPUTED, f"formula {known.formula}")


@cache
def boiling_point(cas: str) -> Sourced | Missing:
    """Normal boiling (or sublimation) point [K]."""
    from chemicals.phase_change import Tb

    if identity(cas) is None:
        return unknown_substance(cas)
    if _point("boiling", cas) is not None:
        return _point("boiling", cas) or unknown_substance(cas)
    return first_of(Tb, cas, _BOILING, "K") or Missing("no boiling point in the tables (chemicals 1.5)")


@cache
def melting_point(cas: str) -> Sourced | Missing:
    """Melting point [K]."""
    from chemicals.phase_change import Tm

    if identity(cas) is None:
        return unknown_substance(cas)
    if _point("melting", cas) is not None:
        return _point("melting", cas) or unknown_substance(cas)
    return first_of(Tm, cas, _MELTING, "K") or Missing("no melting point in the tables (chemicals 1.5)")


def _point(kind: str, cas: str) -> Sourced | None:
    """A boiling or melting point [K] that Stillroom's own table corrects."""
    entry = typed_rows("phase_points").get(cas)
    if entry is None or not entry[f"{kind}_K"]:
        return None
    return Sourced(float(entry[f"{kind}_K"]), "K", entry["source"], Origin(entry["origin"]), entry["locator"])


def phase(cas: str, *, temperature: float) -> Literal["solid", "liquid", "gas", "unknown"]:
    """Phase of the pure substance at one atmosphere and `temperature`.

    Parameters
    ----------
    cas : str
        CAS number.
    temperature : float
        Temperature [K].
    """
    material = typed_rows("involatile").get(cas)
    if material is not None:
        return "liquid" if material["phase"] == "liquid" else "solid"
    melting, boiling = melting_point(cas), boiling_point(cas)
    if isinstance(melting, Sourced) and temperature < melting.value:
        sublimes = (
            isinstance(boiling, Sourced) and boiling.value < melting.value and temperature >= boiling.value
        )
        return "gas" if sublimes else "solid"
    if isinstance(boiling, Sourced):
        if temperature >= boiling.value:
            return "gas"
        return "liquid" if isinstance(melting, Sourced) else "unknown"
    return "liquid" if isinstance(melting, Sourced) else "unknown"
