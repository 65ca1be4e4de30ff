"""From the data contracts to arrays: properties of the vapours, and the draws of each layer."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.bed.layers import Layer, MediumDraw, VapourArrays
from stillroom.bed.model import Vapour
from stillroom.media import impregnants, scatter, water
from stillroom.media.draws import sample
from stillroom.media.equilibrium import dubinin
from stillroom.media.humidity import draw_pressure_left, draw_work_share
from stillroom.media.model import Bed, FilterStack, Interval, Medium, Served
from stillroom.sources import Missing, Sourced
from stillroom.substances.model import Properties
from stillroom.units import GAS_CONSTANT, STANDARD_PRESSURE

__all__ = ["draw_layers", "draw_served", "vapour_arrays"]

Array = NDArray[np.float64]

_WALDEN = 6.8  # entropy of melting over R of rigid molecules, 56.5 J/(mol K), [walden-1908], from memory
_NEEDED = ("molar_mass", "saturation_pressure", "liquid_density", "molar_polarisability")
_WORDS = {
    "molar_mass": "molar mass",
    "saturation_pressure": "saturation pressure",
    "liquid_density": "liquid density",
    "molar_polarisability": "polarisability",
    "diffusivity_in_air": "diffusivity in air",
    "boiling_point": "boiling point",
}
_TOLUENE_COHESION = 18.2e3
"""solubility parameter of toluene [Pa^½]: what a laboratory's air puts on carbon is mostly hydrocarbons (from memory)"""
_MOST_STRANGE = 20.0
"""where the properties are not known, and the most that is taken [-]"""
_SLOW_DIFFUSIVITY = (
    5e-6  # slower than nearly all vapours of molar mass under 250 g/mol at 25 °C [m²/s], from memory
)


def _liquid_pressure(properties: Properties) -> float:
    """Saturation pressure of the liquid [Pa], subcooled for a solid: micropores hold a liquid-like phase."""
    value = properties.saturation_pressure
    assert isinstance(value, Sourced)
    melting = properties.melting_point
    if (
        properties.phase == "solid"
        and isinstance(melting, Sourced)
        and melting.value > properties.temperature
    ):
        return value.value * float(np.exp(_WALDEN * (melting.value / properties.temperature - 1.0)))
    return value.value


def _activity(properties: Properties) -> float:
    """Activity coefficient, very dilute, among hydrocarbons like toluene [-]: regular solutions [hildebrand-1950].

    ln γ = V (δ − δ0)²/(RT), δ² = (ΔH − RT)/V, ΔH between the temperature and the boiling point by Clausius and
    Clapeyron. Methanol 8, ethanol 5, acetonitrile 2, acetone, benzene and chloroform 1 at 22 °C.
    """
    names = ("molar_mass", "saturation_pressure", "liquid_density", "boiling_point")
    if _lacking(properties, names):
        return _MOST_STRANGE
    mass, density, boiling = (getattr(properties, n).value for n in (names[0], names[2], names[3]))
    temperature, rt = properties.temperature, GAS_CONSTANT * properties.temperature
    pressure = _liquid_pressure(properties)
    if pressure >= STANDARD_PRESSURE or boiling <= temperature:
        return _MOST_STRANGE
    heat = GAS_CONSTANT * np.log(STANDARD_PRESSURE / pressure) / (1.0 / temperature - 1.0 / boiling)
    volume = mass * 1e-3 / density
    cohesion = np.sqrt(max(heat - rt, 0.0) / volume)
    strange = volume * (cohesion - _TOLUENE_COHESION) ** 2 / rt
    return float(np.clip(np.exp(min(strange, 700.0)), 1.0, _MOST_STRANGE))


def _lacking(properties: Properties, names: Sequence[str]) -> str:
    """Why a vapour cannot be computed: the names and reasons of what is missing; empty where all is there."""
    parts = []
    for name in names:
        value = getattr(properties, name)
        if isinstance(value, Missing):
            parts.append(f"{_WORDS[name]} not known ({value.reason})")
        elif not (np.isfinite(value.value) and value.value > 0.0):
            parts.append(f"{_WORDS[name]} not above zero")
    return "; ".join(parts)


def vapour_arrays(
    vapours: Sequence[Vapour], *, temperature: float, pressure: float
) -> tuple[VapourArrays, dict[str, str], tuple[str, ...]]:
    """Properties as columns (n_v, 1), why some vapours are not credited, and notes on what was assumed.

    Parameters
    ----------
    vapours : sequence of Vapour
        With their properties.
    temperature, pressure : float
        State of the air [K], [Pa].
    """
    missing: dict[str, str] = {}
    notes: list[str] = []
    rows = np.ones((len(vapours), 5))
    physisorbed = np.zeros((len(vapours), 1), dtype=bool)
    for i, vapour in enumerate(vapours):
        p = vapour.properties
        if isinstance(p.molar_mass, Sourced):
            rows[i, 0] = p.molar_mass.value
        lacking = _lacking(p, _NEEDED[:1] if vapour.family else _NEEDED)
        if lacking:
            missing[p.cas] = f"{lacking}: the filter is not credited with holding it"
        elif not vapour.family:
            physisorbed[i] = True
            assert isinstance(p.molar_mass, Sourced) and isinstance(p.liquid_density, Sourced)
            assert isinstance(p.molar_polarisability, Sourced)
            rows[i, 1] = _liquid_pressure(p)
            rows[i, 2] = p.molar_mass.value / (p.liquid_density.value * 1e-3)
            rows[i, 3] = float(dubinin.affinity(p.molar_polarisability.value))
        rows[i, 4] = _SLOW_DIFFUSIVITY
        if _lacking(p, ["diffusivity_in_air"]):
            notes.append(
                f"{p.cas}: diffusivity in air not known; {_SLOW_DIFFUSIVITY:g} m²/s taken, a slow one"
            )
        elif isinstance(p.diffusivity_in_air, Sourced):
            warm = (temperature / p.temperature) ** 1.75  # Fuller, Schettler & Giddings 1966
            rows[i, 4] = p.diffusivity_in_air.value * warm * STANDARD_PRESSURE / pressure
    arrays = VapourArrays(
        molar_mass=rows[:, [0]],
        saturation_pressure=rows[:, [1]],
        molar_volume=rows[:, [2]],
        affinity=rows[:, [3]],
        diffusivity=rows[:, [4]],
        physisorbed=physisorbed,
        activity=np.array([[_activity(vapour.properties)] for vapour in vapours]).reshape(-1, 1),
    )
    return arrays, missing, tuple(notes)


def _merged(beds: Sequence[Bed]) -> list[Bed]:
    """Neighbouring beds of one medium and area as one: exact, the front passes on unchanged."""
    merged: list[Bed] = []
    for bed in beds:
        if bed.mass <= 0.0:
            continue
        last = merged[-1] if merged else None
        if last is not None and last.medium == bed.medium and last.area == bed.area:
            merged[-1] = Bed(bed.medium, last.mass + bed.mass, bed.area)
        else:
            merged.append(bed)
    return merged


def _draw_medium(medium: Medium, rng: np.random.Generator, size: int) -> MediumDraw:
    return MediumDraw(
        micropore_volume=sample(medium.micropore_volume, rng, size),
        characteristic_energy=sample(medium.characteristic_energy, rng, size) * 1e3,
        bulk_density=sample(medium.bulk_density, rng, size),
        grain_diameter=sample(medium.grain_diameter, rng, size),
        capacities={
            item.family: impregnants.draw_molar_capacity(item, rng, size) for item in medium.impregnations
        },
    )


def _stoichiometric(
    capacities: dict[str, Array], vapours: Sequence[Vapour], missing: dict[str, str], size: int
) -> tuple[Array, NDArray[np.int64]]:
    capacity = np.zeros((len(vapours), size))
    family = np.full(len(vapours), -1, dtype=np.int64)
    for i, vapour in enumerate(vapours):
        if vapour.family in capacities and vapour.properties.cas not in missing:
            capacity[i] = capacities[vapour.family]
            family[i] = impregnants.FAMILIES.index(vapour.family)
    return capacity, family


def _draw_factors(count: int, rng: np.random.Generator, size: int) -> tuple[Array, Array, Array, Array]:
    """Factors on energy, volume, rate and film rate, each (n_v, size), vapour by vapour: a further one at the
    end changes none of those before it."""
    intervals = (scatter.ENERGY_FACTOR, scatter.VOLUME_FACTOR, scatter.RATE_FACTOR, scatter.REACTION_SHARE)
    drawn = np.empty((4, count, size))
    for i in range(count):
        for k, interval in enumerate(intervals):
            drawn[k, i] = sample(interval, rng, size)
    return drawn[0], drawn[1], drawn[2], np.minimum(drawn[3], 1.0)


def draw_layers(
    stack: FilterStack,
    vapours: Sequence[Vapour],
    arrays: VapourArrays,
    missing: dict[str, str],
    *,
    relative_humidity: ArrayLike,
    rng: np.random.Generator,
    size: int,
) -> tuple[Layer, ...]:
    """Layers with their draws: a medium has one draw wherever it stands, a vapour one scatter on all media.

    Parameters
    ----------
    stack : FilterStack
        Beds in the order of the air.
    vapours : sequence of Vapour
        In the order of `arrays`.
    arrays : VapourArrays
        From `vapour_arrays`.
    missing : dict
        cas -> why a vapour is not credited.
    relative_humidity : array_like
        Fraction, 0 to 1, one or a draw each [-].
    rng : numpy.random.Generator
        Source of randomness.
    size : int
        Number of draws [-].
    """
    humid = rng.spawn(1)[0]
    media = dict.fromkeys(bed.medium for bed in stack.beds)  # in order, each once
    drawn = {medium: _draw_medium(medium, rng, size) for medium in media}
    energy_factor, volume_factor, rate_factor, reaction_share = _draw_factors(len(vapours), rng, size)
    exponent = np.array([sample(scatter.COMPANY_EXPONENT, rng, size) for _ in vapours]).reshape(-1, size)
    company = arrays.activity**exponent
    wet = {medium: water.draw(medium, humid, size) for medium in media}
    work = np.array([draw_work_share(vapour.properties.cas, humid, size) for vapour in vapours]).reshape(
        -1, size
    )
    layers = []
    for bed in _merged(stack.beds):
        own, moist = drawn[bed.medium], wet[bed.medium]
        dry = 1.0 - np.minimum(moist.on_sites(relative_humidity), 1.0)
        there = {
            item.family: own.capacities[item.family] * impregnants.humidity_factor(item, relative_humidity)
            for item in bed.medium.impregnations
        }
        capacity, family = _stoichiometric(there, vapours, missing, size)
        layers.append(
            Layer(
                mass=bed.mass,
                area=bed.area,
                own=own,
                bulk_density=own.bulk_density,
                grain_diameter=own.grain_diameter,
                void_fraction=bed.medium.void_fraction,
                pore_volume=own.micropore_volume * dry * volume_factor,
                energy=own.characteristic_energy * arrays.affinity * energy_factor,
                stoichiometric=capacity,
                family=family,
                rate_factor=rate_factor,
                reaction_share=reaction_share,
                company_factor=company,
                pressure_left=draw_pressure_left(
                    relative_humidity, moist, molar_volume=arrays.molar_volume, work_share=work
                ),
            )
        )
    return tuple(layers)


def draw_served(
    periods: Sequence[Served], vapours: Sequence[Vapour], *, rng: np.random.Generator, size: int
) -> tuple[Array | float, Array | float, float]:
    """What the filter was fed with before, (n_v, size) [mol/m³], a mean over all periods; the share of them that do not
    name a vapour, (n_v, 1) [-]; and how long they lasted [s].

    Parameters
    ----------
    periods : sequence of Served
        In any order.
    vapours : sequence of Vapour
        All that they name, and others.
    rng : numpy.random.Generator
        Source of randomness; not asked where there is no period.
    size : int
        Number of draws [-].

    Notes
    -----
    The amount fed is what a bed keeps of its past, so the periods' order does not count. A vapour that a period does not name
    came in it as it comes now; one that did not come is named with 0. A vapour's molar mass that is not
    known leaves it out: the filter is not credited with holding it either.
    """
    days = float(sum(period.days for period in periods))
    if not days:
        return 0.0, 1.0, 0.0
    place = {vapour.properties.cas: i for i, vapour in enumerate(vapours)}
    mean, as_now = np.zeros((len(vapours), size)), np.ones((len(vapours), 1))
    for period in periods:
        off = period.uncertainty_factor
        factor = sample(Interval(1.0 / off, 1.0, off), rng, size)
        for cas, mg_m3 in period.vapours:
            as_now[place[cas]] -= period.days / days
            mass = vapours[place[cas]].properties.molar_mass
            if isinstance(mass, Sourced):
                mean[place[cas]] += period.days / days * factor * mg_m3 * 1e-3 / mass.value
    return mean, np.maximum(as_now, 0.0), days * 86400.0
