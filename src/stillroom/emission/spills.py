"""The design spill: one container broken, its contents in a tray."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.emission.closures import stefan_factor
from stillroom.emission.contents import density, is_solid, mass, vapours
from stillroom.emission.dust import spilled_dust
from stillroom.emission.model import Spill, interval
from stillroom.emission.solutions import WATER
from stillroom.inventory.model import Container
from stillroom.media.draws import sample
from stillroom.units import GAS_CONSTANT

__all__ = ["forced_transfer", "free_transfer", "pool_area", "spill"]

Array = NDArray[np.float64]
AIR_VISCOSITY = 1.53e-5
"""Kinematic viscosity of air at 22 °C [m²/s] (common tables)."""
_GRAVITY = 9.80665
_AIR_MOLAR_MASS = 28.96


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
    The pool keeps the cabinet's temperature (it would cool as it evaporates: cautious) and its strength (it
    would weaken: cautious). Pools of powder evaporate from the area they cover.

    Notes
    -----
    rate = k A p/(RT) · Stefan factor, k the larger of `forced_transfer` and `free_transfer`.
    """
    notes: dict[str, None] = {}
    missing: dict[str, str] = {}
    scatter = sample(interval("spill", "transfer_scatter"), rng, size)
    depth = sample(interval("spill", "pool_depth"), rng, size)
    drawn_speed = sample(interval("spill", "air_speed"), rng, size)
    speed = drawn_speed if air_speed is None else np.full(size, float(air_speed))
    contents = vapours(container, temperature=temperature, notes=notes, missing=missing)
    if not container.known:
        empty = np.zeros((0, size))
        return Spill(
            (), empty, np.zeros(0), np.zeros(0), np.full(size, float(area)), (), empty, tuple(notes), missing
        )
    contents_mass = mass(container, temperature=temperature)
    covered = pool_area(
        contents_mass / density(container, temperature=temperature), largest_area=area, depth=depth
    )
    diameter = np.sqrt(4.0 * covered / np.pi)
    heavy = sum(float(v.pressure) / pressure * (v.molar_mass / _AIR_MOLAR_MASS - 1.0) for v in contents)
    conductances, saturations, amounts = [], [], []
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
    notes["The pool is not cooled by its own evaporation and keeps its strength: cautious."] = None
    return Spill(
        cas=tuple(vapour.cas for vapour in contents),
        conductance=np.array(conductances).reshape(len(contents), size),
        saturation=np.array(saturations),
        amount=np.array(amounts),
        pool_area=covered,
        dust_cas=tuple(dust_cas),
        dust=np.array(dust).reshape(len(dust), size),
        notes=tuple(notes),
        missing=missing,
    )
