"""Film, pores, walls and mixing in one coefficient k on the air's side, u ∂c/∂z = −k (c − c*).

1/k = 1/k_film + 1/k_grain + 1/k_dispersion      k_grain = 60 (1 − ε)(D_pore + ρ_p D_s dq/dc)/d²
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.media.draws import sample
from stillroom.media.kinetics import dispersion, film, pores, surface
from stillroom.media.model import Interval

__all__ = ["MOBILITY", "PORE_RADIUS", "POROSITY", "SCATTER", "TORTUOSITY", "Parts", "parts", "rate"]

Array = NDArray[np.float64]

POROSITY = Interval(0.15, 0.25, 0.40, "from-memory", "of a grain, in pores wider than 2 nm")
TORTUOSITY = Interval(2.0, 3.5, 6.0, "from-memory", "of those")
PORE_RADIUS = Interval(20e-9, 150e-9, 1000e-9, "from-memory", "of those, through which most goes [m]")
MOBILITY = Interval(
    0.001,
    0.01,
    0.1,
    "from-memory",
    "surface diffusivity in micropores over that of the correlation; under 0.003 the cartridges of 1976 would be too blunt",
)
SCATTER = Interval(0.70, 1.0, 1.40, "from-memory", "of film and dispersion about their correlations")


@dataclass(frozen=True, slots=True)
class Parts:
    """Rate coefficients on the air's side, each alone and all in series [1/s]."""

    film: Array
    pore: Array
    """into the grain through the air in its pores"""
    surface: Array
    """and along their walls; the two go side by side"""
    dispersion: Array
    """mixing along the bed, as a rate"""
    rate: Array
    """k"""

    @property
    def grain(self) -> Array:
        """Pores and walls together [1/s]."""
        return np.asarray(self.pore + self.surface)


def parts(
    *,
    velocity: ArrayLike,
    grain_diameter: ArrayLike,
    diffusivity: ArrayLike,
    molar_mass: ArrayLike,
    heat: ArrayLike,
    slope: ArrayLike,
    bulk_density: ArrayLike,
    void_fraction: ArrayLike = 0.4,
    temperature: ArrayLike = 295.15,
    pressure: ArrayLike = 101325.0,
    porosity: ArrayLike = POROSITY.p50,
    tortuosity: ArrayLike = TORTUOSITY.p50,
    pore_radius: ArrayLike = PORE_RADIUS.p50,
    mobility: ArrayLike = MOBILITY.p50,
    outer: ArrayLike = SCATTER.p50,
    sherwood: Callable[[Array, Array, Array], Array] = film.wakao_funazkri,
) -> Parts:
    """The rate coefficient and what it is made of; with the values of the grain as they stand, the median.

    Parameters
    ----------
    velocity : array_like
        Superficial velocity of the air [m/s].
    grain_diameter : array_like
        [m].
    diffusivity : array_like
        Of the vapour in air at this state [m²/s].
    molar_mass : array_like
        [g/mol].
    heat : array_like
        Isosteric heat of adsorption [J/mol].
    slope : array_like
        dq/dc, for a front on a fresh bed the chord q/c [m³/kg].
    bulk_density : array_like
        Of the bed [kg/m³].
    void_fraction : array_like
        Void between the grains [-].
    temperature, pressure : array_like
        State of the air [K], [Pa].
    porosity, tortuosity : array_like
        Of the wide pores [-].
    pore_radius : array_like
        Of the wide pores [m].
    mobility : array_like
        Surface diffusivity over that of `surface.sladek`; 0 for none [-].
    outer : array_like
        Factor on film and dispersion [-].
    sherwood : callable
        A correlation of `film` [-].

    Notes
    -----
    [glueckauf-1955] for grain and film; k times a bed's volume over the flow is its number of transfer units.

    Validity: 0.05–1 m/s, grains of 0.5–5 mm, traces in air. Isothermal. The isotherm's own sharpening or spreading of a front is no part of k:
    a numerical bed has it already, the closed form takes it by `bed.closed_form.spread_units`.
    """
    bed = {
        "velocity": velocity,
        "grain_diameter": grain_diameter,
        "diffusivity": diffusivity,
        "void_fraction": void_fraction,
    }
    factor = np.asarray(outer, float)
    outside = factor * film.rate_coefficient(
        **bed, temperature=temperature, pressure=pressure, sherwood=sherwood
    )
    mixing = factor * dispersion.rate_coefficient(**bed)
    narrow = pores.knudsen(pore_radius=pore_radius, molar_mass=molar_mass, temperature=temperature)
    inside = pores.effective(
        pores.bosanquet(diffusivity, knudsen=narrow), porosity=porosity, tortuosity=tortuosity
    )
    along = surface.effective(
        np.asarray(mobility, float) * surface.sladek(heat=heat, temperature=temperature),
        grain_density=np.asarray(bulk_density, float) / (1.0 - np.asarray(void_fraction, float)),
        slope=slope,
    )
    pore, wall = (
        pores.glueckauf(way, grain_diameter=grain_diameter, void_fraction=void_fraction)
        for way in (inside, along)
    )
    return Parts(
        outside, pore, wall, mixing, np.asarray(1.0 / (1.0 / outside + 1.0 / (pore + wall) + 1.0 / mixing))
    )


def rate(
    *,
    velocity: ArrayLike,
    grain_diameter: ArrayLike,
    diffusivity: ArrayLike,
    molar_mass: ArrayLike,
    heat: ArrayLike,
    slope: ArrayLike,
    bulk_density: ArrayLike,
    rng: np.random.Generator,
    size: int,
    void_fraction: ArrayLike = 0.4,
    temperature: ArrayLike = 295.15,
    pressure: ArrayLike = 101325.0,
) -> Array:
    """Draws of the rate coefficient k, shape (…, size) [1/s]. One carbon a draw, for all vapours; the walls' share a vapour's own.

    Parameters
    ----------
    velocity, grain_diameter, diffusivity, molar_mass, heat, slope, bulk_density : array_like
        As in `parts`, broadcasting against (…, size) [m/s], [m], [m²/s], [g/mol], [J/mol], [m³/kg], [kg/m³].
    rng : numpy.random.Generator
        Source of randomness.
    size : int
        Number of draws [-].
    void_fraction, temperature, pressure : array_like
        [-], [K], [Pa].

    Notes
    -----
    POROSITY, TORTUOSITY, PORE_RADIUS, MOBILITY and SCATTER are drawn; velocity, grain and isotherm are as they are given.

    Validity: as `parts`.
    """
    given = (velocity, grain_diameter, diffusivity, molar_mass, heat, slope, bulk_density, void_fraction)
    shape = np.broadcast_shapes(*(np.shape(value) for value in given), (size,))
    count = int(np.prod(shape[:-1], dtype=int))
    porosity, tortuosity, radius, outer = (
        sample(interval, rng, size) for interval in (POROSITY, TORTUOSITY, PORE_RADIUS, SCATTER)
    )
    mobility = np.array([sample(MOBILITY, rng, size) for _ in range(count)]).reshape(shape)
    return parts(
        velocity=velocity,
        grain_diameter=grain_diameter,
        diffusivity=diffusivity,
        molar_mass=molar_mass,
        heat=heat,
        slope=slope,
        bulk_density=bulk_density,
        void_fraction=void_fraction,
        temperature=temperature,
        pressure=pressure,
        porosity=np.minimum(porosity, 1.0),
        tortuosity=np.maximum(tortuosity, 1.0),
        pore_radius=radius,
        mobility=mobility,
        outer=outer,
    ).rate
