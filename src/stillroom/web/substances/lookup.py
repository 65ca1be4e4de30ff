"""What is known of one substance, in words for the page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from stillroom.errors import StillroomError
from stillroom.sources import Missing, cite
from stillroom.substances.limits import lists, of
from stillroom.substances.model import Admission, Hazards, Limit, Substance
from stillroom.units import show

__all__ = ["Found", "look_up"]


@dataclass(frozen=True)
class Fact:
    """One property: its value, or why there is none."""

    name: str
    value: str
    source: str


@dataclass(frozen=True)
class Found:
    substance: Substance
    facts: list[Fact]
    limits: list[tuple[str, list[Limit]]]
    """title and edition of the list, its limits"""
    hazards: Hazards
    admission: str


def look_up(substance: Substance) -> Found:
    """Identity, properties at 22 °C, limits of every list, hazards."""
    from stillroom import substances

    hazards = substances.hazards(substance.cas)
    return Found(
        substance=substance,
        facts=facts(substances.properties(substance.cas)),
        limits=[(f"{item.title}, {item.edition}", list(of(substance.cas, item.key))) for item in lists()],
        hazards=hazards,
        admission=admission_words(hazards),
    )


def admission_words(hazards: Hazards) -> str:
    return {
        Admission.ORDINARY: _("May be assessed like an ordinary substance"),
        Admission.NEEDS_MEDIUM: _("Needs a medium characterised for: %s") % hazards.medium_family,
        Admission.REFUSED: _("Refused: it must not be in such a cabinet"),
        Admission.UNKNOWN: _("Unknown, and therefore never approved"),
    }[hazards.admission]


def facts(properties: Any) -> list[Fact]:
    celsius: Callable[[float], str] = lambda kelvin: f"{kelvin - 273.15:.0f} °C"  # noqa: E731
    plain: Callable[[str], Callable[[float], str]] = lambda unit: lambda value: f"{show(value, 4)} {unit}"  # noqa: E731
    rows: list[tuple[str, Any, Callable[[float], str]]] = [
        (_("Molar mass"), properties.molar_mass, plain("g/mol")),
        (_("Saturation pressure at 22 °C"), properties.saturation_pressure, plain("Pa")),
        (_("Boiling point"), properties.boiling_point, celsius),
        (_("Melting point"), properties.melting_point, celsius),
        (_("Flash point"), properties.flash_point, celsius),
        (
            _("Lower flammable limit"),
            properties.lower_flammable_limit,
            lambda value: f"{show(100 * value)} %",
        ),
        (_("Density of the liquid"), properties.liquid_density, plain("kg/m³")),
        (_("Diffusivity in air"), properties.diffusivity_in_air, lambda value: f"{show(1e6 * value)} mm²/s"),
        (_("Molar refraction"), properties.molar_polarisability, plain("cm³/mol")),
        (_("Ionisation energy"), properties.ionisation_energy, plain("eV")),
    ]
    return [fact(name, datum, words) for name, datum, words in rows]


def fact(name: str, datum: Any, words: Callable[[float], str]) -> Fact:
    if isinstance(datum, Missing):
        return Fact(name, _("not known: %s") % datum.reason, "")
    try:
        source = str(cite(datum.source))
    except StillroomError:
        source = datum.source
    return Fact(name, words(datum.value), f"{source} ({datum.origin.value})")
