"""Strengths of solutions: "37 %", "1 M", "5 % w/v", "0.1 N", "1000 mg/L" to a mass fraction.

    molar:    w = c·M/ρ(w)        by volume:  w = φ·ρ₁/(φ·ρ₁ + (1−φ)·ρ₂)        mass by volume:  w = γ/ρ(w)

ρ(w) comes from published densities for seven common solutes, else the density of water is taken, which is right
for dilute solutions only and is said. Mixing by volume is taken as ideal.
"""

from __future__ import annotations

import re
import unicodedata
from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Literal

from stillroom.sources import Missing
from stillroom.substances.model import Substance
from stillroom.substances.names import key
from stillroom.substances.shipped import rows
from stillroom.units import QuantityError, parse_number

__all__ = [
    "NamedSolution",
    "Solute",
    "Strength",
    "StrengthError",
    "mass_fraction",
    "named_solution",
    "read_strength",
    "solute",
]

WATER_DENSITY = 998.2
"""Water at 20 °C [kg/m³] [perry-7]."""

PEROXIDE_PER_VOLUME = 2 * 34.015 / 22.414
"""Hydrogen peroxide that gives off its own volume of oxygen at 0 °C and one atmosphere [g/L]: 2 H2O2 → O2 + 2 H2O."""

Unit = Literal["% w/w", "% w/v", "% v/v", "mol/L", "N", "g/L", "vol"]


class StrengthError(ValueError):
    """The text is no strength that can be; the message says what to write."""


@dataclass(frozen=True, slots=True)
class Strength:
    """A strength as written, read: `value` in `unit`; the upper end of a range."""

    value: float
    unit: Unit
    text: str
    plain: bool = False
    """a bare "%": by mass, as is usual"""


@dataclass(frozen=True, slots=True)
class Solute:
    """What a strength, or none, means for one substance; see data/solutions.toml."""

    cas: str
    usual: float | None
    """usual concentrated mass fraction [-], where a bare name means the solution"""
    most: float
    """mass fraction [-] up to which the rest is water"""
    equivalents: int | None
    bare: str
    pure_names: tuple[str, ...]
    note: str


@cache
def _solutes() -> dict[str, Solute]:
    return {
        row["cas"]: Solute(
            cas=row["cas"],
            usual=float(row["usual_percent"]) / 100 if row["usual_percent"] else None,
            most=float(row["most_percent"]) / 100,
            equivalents=int(row["equivalents"]) if row["equivalents"] else None,
            bare=row["bare"],
            pure_names=tuple(row["pure_names"].split("|")) if row["pure_names"] else (),
            note=row["note"],
        )
        for row in rows("stillroom.substances", "solutions")
    }


def solute(cas: str) -> Solute | None:
    """What is usual for this substance in water, or None where nothing is known."""
    return _solutes().get(cas)


@dataclass(frozen=True, slots=True)
class NamedSolution:
    """A name that means a dilution in water ("vinegar")."""

    cas: str
    mass_fraction: float
    """[-]"""
    words: str


@cache
def _named() -> dict[str, NamedSolution]:
    return {
        key(row["name"]): NamedSolution(row["cas"], float(row["mass_percent"]) / 100, row["words"])
        for row in rows("stillroom.substances", "named_solutions")
    }


def named_solution(names: Iterable[str]) -> NamedSolution | None:
    """The dilution that the first of these names means, None where none does.

    Examples
    --------
    >>> named_solution(["Vinegar"]).mass_fraction
    0.05
    """
    return next((found for name in names if (found := _named().get(key(name)))), None)


@cache
def _densities() -> dict[str, tuple[tuple[float, float], ...]]:
    points: dict[str, list[tuple[float, float]]] = {}
    for row in rows("stillroom.substances", "aqueous_densities"):
        start = points.setdefault(row["cas"], [(0.0, WATER_DENSITY)])
        start.append((float(row["mass_percent"]) / 100, float(row["density_g_cm3"]) * 1000))
    return {cas: tuple(pairs) for cas, pairs in points.items()}


_UNITS: tuple[tuple[str, Unit, float], ...] = (
    (r"(?:%|percent|per cent|pct)\(?(?:w/v|m/v|p/v|wt/vol)\)?|(?:w/v|m/v)%", "% w/v", 1.0),
    (r"(?:%|percent|per cent|pct)\(?(?:v/v|vol/vol|vol\.?|byvolume)\)?|(?:vol|v|v/v)[.-]*%", "% v/v", 1.0),
    (r"(?:%|percent|per cent|pct)\(?(?:w/w|m/m|p/p|wt/wt|wt\.?|byweight|bymass)\)?|(?:wt|gew|ma|m|w/w)[.-]*%",
     "% w/w", 1.0),
    (r"%|percent|per cent|pct", "% w/w", 1.0),
    (r"mmol(?:/(?:l|dm3)|[.·]?(?:l-1|dm-3))|mm", "mol/L", 1e-3),
    (r"µm", "mol/L", 1e-6),
    (r"mol(?:/(?:l|dm3)|[.·]?(?:l-1|dm-3))|m|molar", "mol/L", 1.0),
    (r"n|normal|eq/l|val/l", "N", 1.0),
    (r"g(?:/(?:l|dm3)|[.·]?(?:l-1|dm-3))|mg/ml|ppt", "g/L", 1.0),
    (r"mg/l|µg/ml|ug/ml|ppm", "g/L", 1e-3),
    (r"µg/l|ug/l|ppb", "g/L", 1e-6),
    (r"-?vol(?:ume)?s?\.?", "vol", 1.0),
    (r"g/ml", "g/L", 1e3),
)  # fmt: skip


def read_strength(text: str) -> Strength:
    """A strength as written; the upper end of a range, because it gives off more.

    Raises
    ------
    StrengthError
        The text is no strength.

    Examples
    --------
    >>> read_strength("37 %").value, read_strength("0.1 N").unit, read_strength("5 % w/v").unit
    (37.0, 'N', '% w/v')
    """
    shown = " ".join(text.split())
    if match := re.fullmatch(r"([NM])/(\d{1,4})", shown):
        return Strength(1.0 / max(int(match[2]), 1), "N" if match[1] == "N" else "mol/L", shown)
    plain = re.sub(r"[−‐‑‒–](?=\s*[13]\b)|\^", _exponent, unicodedata.normalize("NFKC", shown))
    compact = re.sub(r"\s|^(?:≥|>=|>|~|ca\.?|approx\.?|min\.?)", "", plain).lower().replace("μ", "µ")
    compact = re.sub(r"\(?(?:atom)?d\)?$", "", compact.replace("％", "%"))
    if prefix := re.match(r"(wt|vol|w/w|v/v|w/v)\.?(%?)(?=\d)", compact):
        number = compact[prefix.end() :].rstrip("%")
        compact = f"{number}%{prefix[1]}"
    match = re.fullmatch(r"(?:([\d.,]+)(?:[-–]|to))?([\d.,]+)(\D.*)", compact)
    if not match:
        raise StrengthError(f"“{shown}” is not a strength. Write it like 37 % or 1 M")
    for pattern, unit, factor in _UNITS:
        if re.fullmatch(pattern, match[3]):
            try:
                value = parse_number(match[2]) * factor
            except QuantityError as error:
                raise StrengthError(str(error)) from None
            if unit.startswith("%") and not 0 < value <= 100:
                raise StrengthError(f"“{shown}” is not between 0 and 100 %. Write the strength like 37 %")
            return Strength(value, unit, shown, plain=pattern.startswith("%|"))
    raise StrengthError(f"“{shown}” is not a strength. Write it like 37 % or 1 M")


def _exponent(match: re.Match[str]) -> str:
    """The minus of "dm⁻³" as a hyphen; the caret of "dm^3" is nothing."""
    return "" if match[0] == "^" else "-"


def mass_fraction(strength: Strength, substance: Substance, *, solvent_density: float = WATER_DENSITY
                  ) -> tuple[float | None, str]:  # fmt: skip
    """Mass fraction of a solution [-], and what had to be assumed; None where it cannot be told.

    Parameters
    ----------
    strength : Strength
        As read.
    substance : Substance
        The solute.
    solvent_density : float
        Density of the solvent [kg/m³].

    Validity
    --------
    With tabled densities (hydrochloric, nitric, sulfuric and acetic acid, sodium hydroxide, ammonia, hydrogen peroxide) over
    their tables. For other solutes the solvent's density stands for the solution's: within a few per cent below
    0.1 mass fraction; above 0.3 nothing is answered.

    Examples
    --------
    Hydrochloric acid of 1 M holds 3.6 % by mass.

    >>> hcl = Substance("7647-01-0", "hydrochloric acid", "ClH", 36.46)
    >>> round(mass_fraction(read_strength("1 M"), hcl)[0], 4)
    0.0359
    """
    if strength.unit == "% w/w":
        return strength.value / 100, ""
    if strength.unit == "% v/v":
        return _by_volume(strength.value / 100, substance, solvent_density)
    if strength.unit == "vol":
        if substance.cas != "7722-84-1":
            return None, f"“{strength.text}” tells nothing of {substance.name}; write the strength in %"
        return _by_mass_concentration(strength.value * PEROXIDE_PER_VOLUME, substance, solvent_density)
    if strength.unit in ("% w/v", "g/L"):
        grams_per_litre = strength.value * (10 if strength.unit == "% w/v" else 1)
        return _by_mass_concentration(grams_per_litre, substance, solvent_density)
    moles = strength.value
    if strength.unit == "N":
        known = solute(substance.cas)
        if not known or not known.equivalents:
            return None, f"the equivalents of {substance.name} are not known; write the strength in M or %"
        moles /= known.equivalents
    if substance.molar_mass_g_mol is None:
        return None, f"the molar mass of {substance.name} is not known; write the strength in %"
    return _by_mass_concentration(moles * substance.molar_mass_g_mol, substance, solvent_density)


def _by_mass_concentration(
    grams_per_litre: float, substance: Substance, solvent_density: float
) -> tuple[float | None, str]:
    """γ = w·ρ(w) solved for w; γ [kg/m³] rises with w in every table."""
    table = _densities().get(substance.cas)
    if table and solvent_density == WATER_DENSITY:
        gammas = [fraction * density for fraction, density in table]
        if grams_per_litre > gammas[-1]:
            return None, f"{substance.name} cannot be that strong in water; check the strength"
        right = max(1, bisect_left(gammas, grams_per_litre))
        share = (grams_per_litre - gammas[right - 1]) / (gammas[right] - gammas[right - 1])
        return table[right - 1][0] + share * (table[right][0] - table[right - 1][0]), ""
    fraction = grams_per_litre / solvent_density
    if fraction > 0.3:
        return None, f"the density of such a solution of {substance.name} is not known; write it in % w/w"
    note = f"the density of the solvent was taken for that of the solution of {substance.name}"
    return fraction, note if fraction > 0.02 else ""


def _by_volume(share: float, substance: Substance, solvent_density: float) -> tuple[float | None, str]:
    from stillroom.substances.properties import properties

    density = properties(substance.cas).liquid_density
    if isinstance(density, Missing):
        return None, f"the density of {substance.name} is not known; write the strength in % w/w"
    heavy = share * density.value
    return heavy / (heavy + (1 - share) * solvent_density), ""
