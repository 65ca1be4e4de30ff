"""Mixtures of isomers, petroleum fractions, deuterated compounds: the pure substance that stands for them."""

from __future__ import annotations

from dataclasses import fields, replace

from stillroom.sources import Missing, Origin, Sourced
from stillroom.substances.kin import Kin
from stillroom.substances.model import Properties
from stillroom.substances.properties.tables import typed_rows

__all__ = ["of_deuterated", "representative", "standing_for"]


def representative(cas: str) -> str:
    """CAS number of the pure substance that stands for a commercial mixture; empty where none does."""
    entry = typed_rows("representatives").get(cas)
    return entry["representative"] if entry else ""


def standing_for(cas: str, known: Properties) -> Properties:
    """`known`, the properties of the representative, as estimates for the mixture `cas`."""
    entry = typed_rows("representatives")[cas]
    name, why = entry["representative_name"], entry["why"]
    return _as_estimates(cas, known, f"that of {name}, which stands for the mixture: {why}")


def of_deuterated(kin: Kin, parent: Properties, own_mass: Sourced | Missing) -> Properties:
    """`parent`, the properties of the parent, as estimates for the compound with deuterium in it.

    Its molar mass [g/mol] is its own, and its density follows: isotopologues have one molar volume, within half a
    per cent or so (benzene-d6: 0.95 g/cm³ on its data sheets, 0.944 so). Vapour pressures differ by a few per cent.
    """
    words = f"estimated from the parent, {kin.parent_name} ({kin.parent})"
    known = _as_estimates(kin.cas, parent, words)
    light, density = parent.molar_mass, known.liquid_density
    if isinstance(own_mass, Sourced) and isinstance(light, Sourced):
        if isinstance(density, Sourced):
            density = replace(density, value=density.value * own_mass.value / light.value)
        known = replace(known, molar_mass=own_mass, liquid_density=density)
    return known


def _as_estimates(cas: str, known: Properties, words: str) -> Properties:
    changed: dict[str, Sourced] = {}
    for field in fields(known):
        value = getattr(known, field.name)
        if isinstance(value, Sourced):
            note = "; ".join(part for part in (value.note, words) if part)
            changed[field.name] = replace(value, origin=Origin.ESTIMATED, note=note)
    return replace(known, cas=cas, **changed)  # type: ignore[arg-type]
