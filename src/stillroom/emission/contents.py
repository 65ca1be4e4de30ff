"""What is in a container, in the numbers that evaporation needs."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stillroom.emission.solutions import WATER, component_pressures
from stillroom.inventory.model import Container
from stillroom.sources import Missing, Sourced
from stillroom.substances import properties
from stillroom.substances.model import Properties

__all__ = ["Vapour", "density", "is_solid", "mass", "vapours", "volume"]

Array = NDArray[np.float64]
_ASSUMED_DIFFUSIVITY = 1.0e-5
_STEP = 2.0
_WATER_DENSITY = 1000.0
_IN_WATER = {
    "7647-01-0": 1705.0,
    "7664-41-7": 709.0,
    "7697-37-2": 1736.0,
    "50-00-0": 1287.0,
    "7664-39-3": 1403.0,
    "10035-10-6": 3178.0,
    "74-89-5": 783.0,
}
"""What a solute adds, as a density [kg/m³], so that 37 % HCl has 1180, 25 % NH3 907, 68 % HNO3 1405, 37 %
HCHO 1090, 48 % HF 1160, 48 % HBr 1490 and 40 % methylamine 900 kg/m³ (common tables, from memory)."""


@dataclass(frozen=True, slots=True, eq=False)
class Vapour:
    """One vapour over a container's contents."""

    cas: str
    molar_mass: float
    """[g/mol]"""
    pressure: float | Array
    """[Pa]"""
    factor: float
    """the pressure is known within this factor at 90 %"""
    diffusivity: float
    """[m²/s]"""
    log_slope: float
    """d ln p/dT [1/K]"""
    mass_fraction: float
    """upper end where not known [-]"""
    in_water: bool

    def drawn(self, rng: np.random.Generator, size: int) -> Vapour:
        """The same with draws of the pressure, shape (size,).

        Parameters
        ----------
        rng : numpy.random.Generator
            Seeded by the caller.
        size : int
            Number of draws [-].
        """
        spread = np.log(self.factor) / 1.6448536269514722
        return replace(self, pressure=self.pressure * np.exp(spread * rng.standard_normal(size)))


def _density(known: Properties) -> float:
    if isinstance(known.liquid_density, Sourced):
        return known.liquid_density.value
    return _WATER_DENSITY


def density(container: Container, *, temperature: float) -> float:
    """Density of the contents [kg/m³]: the components' volumes add up; 1000 where nothing is known.

    Parameters
    ----------
    container : Container
        Known contents.
    temperature : float
        [K]
    """
    water = any(part.substance.cas == WATER for part in container.components)
    parts = []
    for part in container.components:
        each = _density(properties(part.substance.cas, temperature=temperature))
        each = _IN_WATER.get(part.substance.cas, each) if water else each
        parts.append((part.mass_fraction, each))
    if len(parts) == 1 or any(share is None for share, _ in parts):
        return parts[0][1]
    total = sum(share for share, _ in parts if share)
    volume_per_mass = sum(share / each for share, each in parts if share)
    return total / volume_per_mass if volume_per_mass else _WATER_DENSITY


def volume(container: Container) -> float:
    """Nominal volume of one container [m³]; a mass is taken at 1000 kg/m³, which only sets the bottle's size.

    Parameters
    ----------
    container : Container
        With its amount.
    """
    return container.amount.value if container.amount.kind == "volume" else container.amount.value / 1000.0


def mass(container: Container, *, temperature: float) -> float:
    """Mass of one container's contents [kg].

    Parameters
    ----------
    container : Container
        With its amount.
    temperature : float
        [K]
    """
    if container.amount.kind == "mass":
        return container.amount.value
    return container.amount.value * density(container, temperature=temperature)


def is_solid(container: Container, *, temperature: float) -> bool:
    """Whether the contents are a solid: as stated, or by the named substance's phase where not stated.

    Parameters
    ----------
    container : Container
        The container.
    temperature : float
        [K]
    """
    if container.state != "unknown":
        return container.state == "solid"
    if len(container.components) != 1 or not container.known:
        return False
    return properties(container.components[0].substance.cas, temperature=temperature).phase == "solid"


def vapours(
    container: Container, *, temperature: float, notes: dict[str, None], missing: dict[str, str]
) -> list[Vapour]:
    """The vapours over the contents; what was assumed goes to `notes`, what could not be told to `missing`.

    Parameters
    ----------
    container : Container
        The container.
    temperature : float
        [K]
    notes, missing : dict
        Filled.
    """
    if not container.known:
        missing[container.key] = container.unknown_reason or "the contents are not known"
        return []
    now = component_pressures(container, temperature=temperature)
    warmer = component_pressures(container, temperature=temperature + _STEP)
    water = any(part.substance.cas == WATER for part in container.components)
    found = []
    for part in container.components:
        cas = part.substance.cas
        if cas not in now:
            continue
        value = now[cas].value
        if isinstance(value, Missing):
            missing[cas] = value.reason
            continue
        known = properties(cas, temperature=temperature)
        molar_mass = part.substance.molar_mass_g_mol or (
            known.molar_mass.value if isinstance(known.molar_mass, Sourced) else None
        )
        if molar_mass is None:
            missing[cas] = "its molar mass is not known"
            continue
        diffusivity = _ASSUMED_DIFFUSIVITY
        if isinstance(known.diffusivity_in_air, Sourced):
            diffusivity = known.diffusivity_in_air.value
        elif value.value > 0.0:
            notes[f"{part.substance.name}: diffusivity in air not known, taken as 1e-5 m²/s."] = None
        if value.note and ("taken" in value.note or "gives off" in value.note or "above 1 Pa" in value.note):
            notes[f"{part.substance.name}: {value.note}."] = None
        if part.mass_fraction is None and len(container.components) == 1 and container.state == "solution":
            notes[f"{part.substance.name}: strength not stated, taken as the strongest."] = None
        later = warmer[cas].value
        slope = 0.05
        if isinstance(later, Sourced) and value.value > 0.0 and later.value > 0.0:
            slope = float(np.log(later.value / value.value) / _STEP)
        found.append(
            Vapour(
                cas=cas,
                molar_mass=molar_mass,
                pressure=value.value,
                factor=now[cas].factor,
                diffusivity=diffusivity,
                log_slope=slope,
                mass_fraction=1.0 if part.mass_fraction is None else part.mass_fraction,
                in_water=water,
            )
        )
    return found
