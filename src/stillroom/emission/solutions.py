"""The pressure of each vapour over what is in a container."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from stillroom.emission.aqueous import (
    Pressure,
    formaldehyde_pressure,
    henry_pressure,
    hydrogen_peroxide_pressure,
    strongest,
    sulphuric_acid_pressure,
    table_pressure,
    water_activity_coefficient,
)
from stillroom.emission.gases import decomposes, gas_with_acid
from stillroom.inventory.model import Component, Container
from stillroom.sources import Missing, Origin, Sourced
from stillroom.substances import properties
from stillroom.substances.model import Substance

__all__ = ["WATER", "component_pressures", "mole_fractions", "partial_pressures"]

WATER = "7732-18-5"
_NOT_BY_PURE = {"7664-41-7": "ammonia", "7647-01-0": "hydrogen chloride", "50-00-0": "formaldehyde"}
_FORMULAS = {
    "50-00-0": formaldehyde_pressure,
    "7722-84-1": hydrogen_peroxide_pressure,
    "7664-93-9": sulphuric_acid_pressure,
}
_PURE_FACTOR = 1.1
"""vapour pressures of pure liquids are known within 10 % at 90 % (from memory)"""
_ESTIMATE_FACTOR = 3.0
"""and estimated ones within a factor of three (from memory)"""
_AT_MOST = "taken at the pure substance's pressure, the most it can have"
_NO_VAPOUR = 1e-6
"""below this pressure contents count as involatile, dissolved or not [Pa]"""


def partial_pressures(container: Container, *, temperature: float) -> dict[str, Sourced | Missing]:
    """Pressure of each vapour over the contents of a container [Pa], water left out.

    Parameters
    ----------
    container : Container
        Its components with their mass fractions.
    temperature : float
        [K]

    Returns
    -------
    dict
        CAS -> Sourced pressure, or Missing with the reason. Empty where the contents are unknown.

    Validity
    --------
    Ammonia, hydrogen chloride, formaldehyde and the other substances of ``data/aqueous_pressures.csv``: only
    over their solutions in water, never by the pure substance. Solvents in water by an activity coefficient
    where one is held. Everything else that is mixed: activity one, that is, the pure substance's pressure,
    which a stable solution cannot exceed. A strength that is not known counts as pure, or as the strongest
    solution that is listed.

    Notes
    -----
    p_i = x_i γ_i p_i,sat, with x_i γ_i ≤ 1. Hydrocarbons among themselves mix ideally (common practice).
    """
    return {
        cas: pressure.value
        for cas, pressure in component_pressures(container, temperature=temperature).items()
    }


def component_pressures(container: Container, *, temperature: float) -> dict[str, Pressure]:
    """As `partial_pressures`, each with the factor within which it is known.

    Parameters
    ----------
    container : Container
        Its components with their mass fractions.
    temperature : float
        [K]
    """
    if not container.known:
        return {}
    return dict(_of_components(container.components, container.state, temperature))


@lru_cache(maxsize=4096)
def _of_components(
    components: tuple[Component, ...], state: str, temperature: float
) -> tuple[tuple[str, Pressure], ...]:
    fractions = mole_fractions(components)
    aqueous = any(part.substance.cas == WATER for part in components)
    found: dict[str, Pressure] = {}
    for part in components:
        cas = part.substance.cas
        if cas == WATER:
            continue
        apart = decomposes(cas)
        if apart:
            found[cas] = Pressure(Missing(apart))
        elif strongest(cas) is None and _involatile(part.substance, temperature):
            found[cas] = _still(part.substance, temperature)
        elif len(components) == 1:
            found[cas] = _alone(part, state, temperature)
        elif aqueous:
            found[cas] = _in_water(part, fractions.get(cas), temperature)
        else:
            found[cas] = _mixed(part, components, fractions.get(cas), temperature)
    return tuple(found.items())


def mole_fractions(components: tuple[Component, ...]) -> dict[str, float | None]:
    """Mole fraction of each component [-], by CAS; None where strength or molar mass is not known.

    Parameters
    ----------
    components : tuple of Component
        One unknown mass fraction among several is the remainder to one.
    """
    masses = {part.substance.cas: part.mass_fraction for part in components}
    unknown = [cas for cas, w in masses.items() if w is None]
    if len(components) == 1:
        return {components[0].substance.cas: 1.0}
    if len(unknown) == 1 and unknown[0] != components[0].substance.cas:
        masses[unknown[0]] = max(0.0, 1.0 - sum(w for w in masses.values() if w is not None))
    elif unknown:
        return dict.fromkeys(masses)
    moles: dict[str, float] = {}
    for part in components:
        molar_mass = _molar_mass(part.substance)
        w = masses[part.substance.cas]
        if molar_mass is None or w is None:
            return dict.fromkeys(masses)
        moles[part.substance.cas] = w / molar_mass
    total = sum(moles.values())
    return {cas: amount / total for cas, amount in moles.items()} if total > 0 else dict.fromkeys(masses)


def _molar_mass(substance: Substance) -> float | None:
    if substance.molar_mass_g_mol:
        return substance.molar_mass_g_mol
    known = properties(substance.cas).molar_mass
    return known.value if isinstance(known, Sourced) else None


def _pure(substance: Substance, temperature: float) -> Pressure:
    pressure = properties(substance.cas, temperature=temperature).saturation_pressure
    if isinstance(pressure, Sourced):
        if "upper bound" in pressure.note:
            return Pressure(pressure)
        return Pressure(pressure, _ESTIMATE_FACTOR if pressure.origin == Origin.ESTIMATED else _PURE_FACTOR)
    return Pressure(Missing(f"no vapour pressure: {pressure.reason}"))


def _involatile(substance: Substance, temperature: float) -> bool:
    pressure = properties(substance.cas, temperature=temperature).saturation_pressure
    return isinstance(pressure, Sourced) and pressure.value < _NO_VAPOUR


def _still(substance: Substance, temperature: float) -> Pressure:
    """A salt or the like: its upper bound stands, dissolved or dry."""
    gas = gas_with_acid(substance.cas)
    answer = Pressure(_pure(substance, temperature).value)
    return _noted(answer, f"gives off {gas} when acid reaches it: not counted") if gas else answer


def _noted(pressure: Pressure, note: str) -> Pressure:
    if isinstance(pressure.value, Missing):
        return pressure
    words = "; ".join(text for text in (pressure.value.note, note) if text)
    return Pressure(replace(pressure.value, note=words), pressure.factor)


def _by_strength(cas: str, mass_fraction: float, temperature: float) -> Pressure | None:
    """By formula or table over water; None where neither holds the substance."""
    if cas in _FORMULAS:
        return _FORMULAS[cas](mass_fraction=mass_fraction, temperature=temperature)
    return table_pressure(cas, mass_fraction=mass_fraction, temperature=temperature)


def _alone(part: Component, state: str, temperature: float) -> Pressure:
    """Nothing but this substance is named."""
    cas = part.substance.cas
    limit = strongest(cas)
    known = properties(cas, temperature=temperature)
    in_solution = state in ("solution", "liquid") and (known.phase == "gas" or cas in _NOT_BY_PURE)
    if limit is not None and (in_solution or cas in _FORMULAS):
        if cas in _NOT_BY_PURE and state not in ("solution", "liquid"):
            return Pressure(
                Missing(f"pure {_NOT_BY_PURE[cas]} is a gas under pressure, no bottle that evaporates")
            )
        fraction = part.mass_fraction
        if fraction is not None and (fraction < 1.0 or cas not in _NOT_BY_PURE):
            return _by_strength(cas, fraction, temperature) or _pure(part.substance, temperature)
        answer = _by_strength(cas, limit, temperature)
        assert answer is not None
        return _noted(answer, f"strength not known: taken as {limit:.0%}, the strongest listed")
    if known.phase == "gas":
        return Pressure(Missing("a gas at room temperature: its container holds it under pressure"))
    return _pure(part.substance, temperature)


def _in_water(part: Component, x: float | None, temperature: float) -> Pressure:
    cas, w = part.substance.cas, part.mass_fraction
    limit = strongest(cas)
    if limit is not None:
        strength = limit if w is None else w
        answer = _by_strength(cas, strength, temperature)
        if answer is not None:
            return answer if w is not None else _noted(answer, f"strength not known: taken as {limit:.0%}")
    known = properties(cas, temperature=temperature)
    molar_mass = _molar_mass(part.substance)
    if w is not None and molar_mass is not None:
        dilute = henry_pressure(cas, mass_fraction=w, molar_mass=molar_mass, temperature=temperature)
        if dilute is not None:
            return dilute
    coefficient = None if x is None else water_activity_coefficient(cas, x=x)
    if coefficient is not None and x is not None:
        gamma, source = coefficient
        return _times(
            _pure(part.substance, temperature),
            min(1.0, gamma * x),
            f"in water, activity coefficient {gamma:.2f} [{source}]",
            1.3,
        )
    if known.phase == "gas":
        return Pressure(Missing("a gas in water, and neither a table nor a Henry constant for it is held"))
    why = "strength not known" if x is None else "no activity coefficient in water is held"
    return _noted(
        _pure(part.substance, temperature),
        f"{why}: taken at the pure substance's pressure, the most it can have",
    )


def _times(pressure: Pressure, activity: float, note: str, factor: float) -> Pressure:
    if isinstance(pressure.value, Missing):
        return pressure
    value = replace(pressure.value, value=pressure.value.value * activity, origin=Origin.COMPUTED)
    return _noted(Pressure(value, pressure.factor * factor), note)


def _hydrocarbon(substance: Substance) -> bool:
    letters = "".join(character for character in substance.smiles if character.isalpha())
    return bool(letters) and set(letters.upper()) <= {"C", "H"} and "Cl" not in substance.smiles


def _mixed(
    part: Component, components: tuple[Component, ...], x: float | None, temperature: float
) -> Pressure:
    """In a solvent other than water."""
    cas = part.substance.cas
    known = properties(cas, temperature=temperature)
    if known.phase == "gas" or cas in _NOT_BY_PURE:
        return Pressure(Missing("a gas dissolved in a solvent other than water: no data are held"))
    pure = _pure(part.substance, temperature)
    if x is not None and all(_hydrocarbon(other.substance) for other in components):
        return _times(pure, x, "hydrocarbons together: ideal mixing", 1.2)
    why = "strength not known" if x is None else "activity in the mixture not known"
    return _noted(pure, f"{why}: {_AT_MOST}")
