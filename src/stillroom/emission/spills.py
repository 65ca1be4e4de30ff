"""The design spill: one container broken, its contents in a tray."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.emission.closures import stefan_factor
from stillroom.emission.contents import Vapour, density, is_solid, mass, vapours
from stillroom.emission.dust import spilled_dust
from stillroom.emission.model import Spill, interval
from stillroom.emission.solutions import WATER, component_pressures
from stillroom.inventory.model import Container
from stillroom.media.draws import sample
from stillroom.sources import Sourced
from stillroom.units import GAS_CONSTANT

__all__ = ["forced_transfer", "free_transfer", "pool_area", "spill"]

Array = NDArray[np.float64]
AIR_VISCOSITY = 1.53e-5
"""Kinematic viscosity of air at 22 °C [m²/s] (common tables)."""
_GRAVITY = 9.80665
_AIR_MOLAR_MASS = 28.96
_AIR_HEAT = 1200.0
"""Heat capacity of a volume of air at 20 °C [J/(m³ K)] (common tables)."""
_AIR_THERMAL_DIFFUSIVITY = 2.15e-5
"""[m²/s] at 22 °C (common tables)."""
_WEAKER = 0.9
_STEEPEST = 20.0
"""no solution of ``data/aqueous_pressures.csv`` is steeper than (w/w0)^20"""


def forced_transfer(*, air_speed: ArrayLike, pool_diameter: ArrayLike, schmidt: ArrayLike) -> Array:
    """Mass-transfer coefficient over a pool in moving air, 0.00474 U^(7/9) Z^(−1/9) Sc^(−2/3) [m/s].

    Parameters
    ----------
    air_speed : array_like
        U [m/s].
    pool_diameter : array_like
        Z [m].
    schmidt : array_like
        Sc [-].

    Validity
    --------
    Made out of doors, pools of 1–2 m, winds above about 1 m/s; used here below that, with a wide factor and
    never under the free convection of `free_transfer`.

    Notes
    -----
    k = 0.0292 U^(7/9) Z^(−1/9) Sc^(−0.67) in metres and hours [mackay-matsugu-1973]; times 3600^(−2/9).
    """
    u, z, sc = (np.asarray(value, float) for value in (air_speed, pool_diameter, schmidt))
    return np.asarray(
        0.0292 * 3600.0 ** (-2.0 / 9.0) * u ** (7.0 / 9.0) * z ** (-1.0 / 9.0) * sc ** (-2.0 / 3.0)
    )


def free_transfer(
    *,
    pool_diameter: ArrayLike,
    diffusivity: ArrayLike,
    density_ratio: ArrayLike,
) -> Array:
    """Mass-transfer coefficient over a pool in still air by free convection [m/s].

    Parameters
    ----------
    pool_diameter : array_like
        Z [m]; the length of the correlation is area over perimeter, Z/4.
    diffusivity : array_like
        D [m²/s].
    density_ratio : array_like
        Density of the saturated air over the pool, less that of clean air, over the latter [-].

    Validity
    --------
    Ra 1e5 … 1e10. Below, diffusion: at least Sh = 1.

    Notes
    -----
    Heavier than air, facing up: Sh = 0.27 Ra^(1/4); lighter: Sh = 0.54 Ra^(1/4); heat-transfer correlations
    for horizontal plates with Sc for Pr [incropera].
    """
    length, d, ratio = (
        np.asarray(pool_diameter, float) / 4.0,
        np.asarray(diffusivity, float),
        np.asarray(density_ratio),
    )
    rayleigh = _GRAVITY * np.abs(ratio) * length**3 / (AIR_VISCOSITY * d)
    sherwood = np.where(ratio >= 0.0, 0.27, 0.54) * rayleigh**0.25
    return np.asarray(np.maximum(sherwood, 1.0) * d / length)


def pool_area(volume: ArrayLike, *, largest_area: ArrayLike, depth: ArrayLike) -> Array:
    """Area of the pool, the tray's or what the liquid can cover, whichever is less [m²].

    Parameters
    ----------
    volume : array_like
        Spilled [m³].
    largest_area : array_like
        Of the tray or shelf [m²].
    depth : array_like
        At which a free pool stops spreading [m].

    Validity
    --------
    Smooth level floor.

    Notes
    -----
    Geometry.
    """
    return np.asarray(np.minimum(largest_area, np.asarray(volume, float) / np.asarray(depth, float)))


def spill(
    container: Container,
    *,
    area: float,
    temperature: float,
    pressure: float,
    air_speed: float | None,
    rng: np.random.Generator,
    size: int,
) -> Spill:
    """One container of this row broken: what its pool gives off.

    Parameters
    ----------
    container : Container
        One of its `count` copies breaks.
    area : float
        Of the tray or shelf that bounds the pool [m²].
    temperature, pressure : float
        Of the cabinet's air [K], [Pa].
    air_speed : float or None
        Over the pool [m/s]; None: the interval of ``data/closures.toml``.
    rng : numpy.random.Generator
        Source of randomness.
    size : int
        Draws [-].

    Returns
    -------
    Spill

    Validity
    --------
    `Spill.rate` is that of the first moment; `pools.evaporated` lets the pool cool and weaken. Pools of powder
    evaporate from the area they cover.

    Notes
    -----
    rate = k A p/(RT) · Stefan factor, k the larger of `forced_transfer` and `free_transfer`. Heat comes to the
    pool from the air by the analogy of Chilton and Colburn, h = k ρ c_p (α/D)^(2/3) [bird-transport], and by
    ``spill.other_warming`` of ``data/closures.toml``.
    """
    notes: dict[str, None] = {}
    missing: dict[str, str] = {}
    scatter = sample(interval("spill", "transfer_scatter"), rng, size)
    depth = sample(interval("spill", "pool_depth"), rng, size)
    drawn_speed = sample(interval("spill", "air_speed"), rng, size)
    speed = drawn_speed if air_speed is None else np.full(size, float(air_speed))
    contents = vapours(container, temperature=temperature, notes=notes, missing=missing)
    if not container.known:
        return _nothing(temperature, pressure, np.full(size, float(area)), tuple(notes), missing)
    contents_mass = mass(container, temperature=temperature)
    covered = pool_area(
        contents_mass / density(container, temperature=temperature), largest_area=area, depth=depth
    )
    diameter = np.sqrt(4.0 * covered / np.pi)
    heavy = sum(float(v.pressure) / pressure * (v.molar_mass / _AIR_MOLAR_MASS - 1.0) for v in contents)
    conductances, saturations, amounts = [], [], []
    convection = np.zeros(size)
    for vapour in contents:
        known = vapour.drawn(rng, size)
        forced = forced_transfer(
            air_speed=speed, pool_diameter=diameter, schmidt=AIR_VISCOSITY / vapour.diffusivity
        )
        free = free_transfer(pool_diameter=diameter, diffusivity=vapour.diffusivity, density_ratio=heavy)
        p = np.asarray(known.pressure)
        uncertainty = p / vapour.pressure if vapour.pressure else np.ones(size)
        k = np.maximum(forced, free) * scatter * stefan_factor(p / pressure)
        conductances.append(k * covered * uncertainty)
        likeness = (_AIR_THERMAL_DIFFUSIVITY / vapour.diffusivity) ** (2.0 / 3.0)
        convection = np.maximum(convection, np.maximum(forced, free) * scatter * _AIR_HEAT * likeness)
        saturations.append(float(vapour.pressure) / (GAS_CONSTANT * temperature))
        amounts.append(contents_mass * vapour.mass_fraction / (vapour.molar_mass * 1e-3))
    dust_cas: list[str] = []
    dust: list[Array] = []
    if is_solid(container, temperature=temperature):
        airborne = sample(interval("dust", "spilled"), rng, size)
        for part in container.components:
            if part.substance.cas != WATER:
                share = 1.0 if part.mass_fraction is None else part.mass_fraction
                dust_cas.append(part.substance.cas)
                dust.append(spilled_dust(contents_mass, airborne_fraction=airborne, mass_fraction=share))
    other = sample(interval("spill", "other_warming"), rng, size)
    water = any(part.substance.cas == WATER for part in container.components)
    liquid_heat = sample(interval("spill", "heat_of_solution" if water else "heat_of_liquid"), rng, size)
    tray_heat = sample(interval("spill", "heat_of_tray"), rng, size)
    liquid_volume = contents_mass / density(container, temperature=temperature)
    return Spill(
        cas=tuple(vapour.cas for vapour in contents),
        conductance=np.array(conductances).reshape(len(contents), size),
        saturation=np.array(saturations),
        amount=np.array(amounts),
        pool_area=covered,
        temperature=temperature,
        pressure=pressure,
        mass=contents_mass,
        molar_mass=np.array([vapour.molar_mass * 1e-3 for vapour in contents]),
        latent_temperature=np.array([vapour.log_slope * temperature**2 for vapour in contents]),
        exponent=_exponents(container, contents, temperature=temperature),
        heat_capacity=liquid_volume * liquid_heat + covered * tray_heat,
        warming=covered * (convection + other),
        dust_cas=tuple(dust_cas),
        dust=np.array(dust).reshape(len(dust), size),
        notes=tuple(notes),
        missing=missing,
    )


def _nothing(
    temperature: float, pressure: float, area: Array, notes: tuple[str, ...], missing: dict[str, str]
) -> Spill:
    """A container of which nothing is known: its reason stands in `missing`."""
    empty, none = np.zeros((0, area.size)), np.zeros(0)
    return Spill(
        cas=(),
        conductance=empty,
        saturation=none,
        amount=none,
        pool_area=area,
        temperature=temperature,
        pressure=pressure,
        mass=0.0,
        molar_mass=none,
        latent_temperature=none,
        exponent=none,
        heat_capacity=np.ones_like(area),
        warming=np.zeros_like(area),
        dust=empty,
        notes=notes,
        missing=missing,
    )


def _exponents(container: Container, contents: list[Vapour], *, temperature: float) -> Array:
    """n of p ∝ w^n about the strength in the bottle, each vapour weakened alone by a tenth; 0 where the strength
    is not stated, and where the pressure does not depend on it."""
    found = np.zeros(len(contents))
    for place, vapour in enumerate(contents):
        shares = {part.substance.cas: part.mass_fraction for part in container.components}
        own = shares[vapour.cas]
        if len(shares) < 2 or own is None or not 0.0 < own < 1.0 or None in shares.values():
            continue
        rest = (1.0 - _WEAKER * own) / (1.0 - own)
        weaker = replace(
            container,
            components=tuple(
                replace(
                    part,
                    mass_fraction=(part.mass_fraction or 0.0)
                    * (_WEAKER if part.substance.cas == vapour.cas else rest),
                )
                for part in container.components
            ),
        )
        below = component_pressures(weaker, temperature=temperature)[vapour.cas].value
        now = float(np.asarray(vapour.pressure))
        if isinstance(below, Sourced) and below.value > 0.0 and now > 0.0:
            found[place] = np.log(now / below.value) / -np.log(_WEAKER)
    return np.clip(found, 0.0, _STEEPEST)
