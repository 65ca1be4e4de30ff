"""The solvent of a solution: as named, or water where that is plain, or not known."""

from __future__ import annotations

import re

from stillroom.inventory.model import Component
from stillroom.sources import Missing
from stillroom.substances import Substance, properties, resolve
from stillroom.substances.names import NameParts
from stillroom.substances.solutions import WATER_DENSITY, StrengthError, mass_fraction, read_strength, solute

__all__ = ["WATER", "is_solid", "share_out", "solvents_of", "substance_of", "takes_water"]

WATER = "7732-18-5"
_WATER_REACTIVE = frozenset((
    "10294-33-4", "10294-34-5", "7637-07-2", "7446-70-0", "7719-12-2", "10026-13-8", "10025-87-3",
    "7789-60-8", "7550-45-0", "10026-04-7", "7719-09-7", "16853-85-3", "7580-67-8", "16949-15-8",
    "7646-69-7", "7693-26-7", "7791-25-5", "10025-67-9", "7646-78-8", "7726-95-6", "7789-78-8",
    "13283-31-1", "1314-56-3", "1314-80-3", "7723-14-0", "12185-10-3", "7790-94-5", "8014-95-7",
    "7446-11-9", "19287-45-7",
))  # fmt: skip
"""Inorganic substances whose solutions are not in water."""


def substance_of(cas: str) -> Substance:
    substance = resolve(cas=cas).substance
    assert substance is not None
    return substance


def takes_water(substance: Substance) -> bool:
    """Whether a solution without a named solvent is plainly one in water."""
    if solute(substance.cas):
        return True
    formula = re.sub(r"[A-Z][a-z]", "", substance.formula)
    return bool(substance.formula) and "C" not in formula and substance.cas not in _WATER_REACTIVE


def solvents_of(substance: Substance, parts: NameParts) -> tuple[tuple[Component, ...], float, str]:
    """The solvent as components whose fractions add up to one, its density [kg/m³], or why it is not known."""
    if not parts.solvent:
        if takes_water(substance):
            return (Component(substance_of(WATER), 1.0),), WATER_DENSITY, ""
        fault = (
            f"a solution of {substance.name} in a solvent that is not named; write it like “5 % in ethanol”"
        )
        return (), WATER_DENSITY, fault
    found = resolve(name=parts.solvent)
    if found.substance is None:
        return (), WATER_DENSITY, f"the solvent “{parts.solvent}” is not known: {found.reason}"
    solvent = found.substance
    if solvent.cas == WATER:
        return (Component(solvent, 1.0),), WATER_DENSITY, ""
    if found.strength and solute(solvent.cas):
        try:
            share, _ = mass_fraction(read_strength(found.strength), solvent)
        except StrengthError:
            share = None
        rest = None if share is None else 1.0 - share
        return (Component(solvent, share), Component(substance_of(WATER), rest)), WATER_DENSITY, ""
    if is_solid(solvent):  # "iodine in potassium iodide": dissolved beside it, in water
        return (Component(solvent, None), Component(substance_of(WATER), None)), WATER_DENSITY, ""
    return (Component(solvent, 1.0),), _density(solvent), ""


def _density(solvent: Substance) -> float:
    density = properties(solvent.cas).liquid_density
    return WATER_DENSITY if isinstance(density, Missing) else density.value


def share_out(solvents: tuple[Component, ...], rest: float | None) -> tuple[Component, ...]:
    return tuple(
        Component(
            part.substance, None if rest is None or part.mass_fraction is None else rest * part.mass_fraction
        )
        for part in solvents
    )


def is_solid(substance: Substance) -> bool:
    return properties(substance.cas).phase == "solid"
