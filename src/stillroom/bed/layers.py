"""One layer of a drawn filter stack: what it holds of each vapour at an inlet, and how fast."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillroom.media.equilibrium import dubinin
from stillroom.media.kinetics import film, pores, wood_lodewyckx
from stillroom.media.mixtures import ideal_loadings
from stillroom.units import GAS_CONSTANT

__all__ = ["NOTHING", "Air", "Layer", "Uptake", "VapourArrays"]

Array = NDArray[np.float64]

NOTHING = 1e-30
"""stands for “holds nothing” where a capacity divides [mol]"""
_TRACE = 1e-18  # a partial pressure that stands for none; its loading follows Henry's law [Pa]


@dataclass(frozen=True, slots=True)
class Air:
    """Air to the filter: flow through the beds (size,) [m³/s], temperature [K], pressure [Pa]."""

    flow: Array
    temperature: float
    pressure: float


@dataclass(frozen=True, slots=True)
class VapourArrays:
    """Properties of the vapours, each of shape (n_v, 1)."""

    molar_mass: Array
    """[g/mol]"""
    saturation_pressure: Array
    """[Pa]"""
    molar_volume: Array
    """of the liquid [cm³/mol]"""
    affinity: Array
    """β [-]"""
    diffusivity: Array
    """[m²/s] at the air's temperature and pressure"""
    physisorbed: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Uptake:
    """What a layer takes up at an inlet: `capacity` [mol] and transfer `units` [-], each (n_v, size)."""

    capacity: Array
    units: Array


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer with its draws; arrays are (n_v, size) or (size,)."""

    mass: float
    """[kg]"""
    area: float
    """[m²]"""
    bulk_density: Array
    """[kg/m³]"""
    grain_diameter: Array
    """[m]"""
    void_fraction: float
    pore_volume: Array
    """W0 of each vapour, water taken off [cm³/g]"""
    energy: Array
    """E of each vapour [J/mol]"""
    stoichiometric: Array
    """what the impregnation takes of each vapour when alone, 0 where nothing [mol/g]"""
    family: NDArray[np.int64]
    """(n_v,) number of the vapour's family, −1 for none"""
    rate_factor: Array
    reaction_share: Array
    """of the film's rate that an impregnation reaches"""

    def rate(self, vapours: VapourArrays, air: Air, loading: Array) -> Array:
        """Rate coefficient [1/s] at a loading [g/g].

        The correlation, never faster than the film, and never slower than film and wide pores in series: at
        ppb the loading is far below the correlated data and √W_e would stop the uptake. An impregnation takes
        a share of the film's rate, because the reaction moves into the grain as its outside is used up.

        Parameters
        ----------
        vapours : VapourArrays
            (n_v, …).
        air : Air
            Through the bed.
        loading : ndarray
            (n_v, size), of each vapour [g/g].
        """
        velocity = air.flow / self.area
        fastest = film.rate_coefficient(
            velocity=velocity,
            grain_diameter=self.grain_diameter,
            diffusivity=vapours.diffusivity,
            void_fraction=self.void_fraction,
            temperature=air.temperature,
            pressure=air.pressure,
        )
        inner = pores.rate_coefficient(
            diffusivity=vapours.diffusivity,
            grain_diameter=self.grain_diameter,
            void_fraction=self.void_fraction,
        )
        slowest = fastest * inner / (fastest + inner)
        overall = wood_lodewyckx.rate_coefficient(
            affinity=vapours.affinity,
            velocity=velocity,
            grain_diameter=self.grain_diameter,
            loading=loading,
            molar_mass=vapours.molar_mass,
        )
        bounded = np.clip(overall * self.rate_factor, slowest, fastest)
        return np.asarray(np.where(vapours.physisorbed, bounded, fastest * self.reaction_share))

    def units(self, rate: Array, air: Air) -> Array:
        """Transfer units k_v·(bed volume)/flow [-].

        Parameters
        ----------
        rate : ndarray
            (n_v, size), k_v [1/s].
        air : Air
            Through the bed.
        """
        return np.asarray(rate * (self.mass / self.bulk_density) / air.flow)

    def physisorbed_alone(self, vapours: VapourArrays, air: Air, inlet: Array) -> Array:
        """Loading of each vapour as if alone [mol/g].

        Parameters
        ----------
        vapours : VapourArrays
            (n_v, …).
        air : Air
            Through the bed.
        inlet : ndarray
            (n_v, size), what the air brings [mol/m³].
        """
        pressure = np.maximum(inlet * GAS_CONSTANT * air.temperature, _TRACE)
        potential = dubinin.potential(
            pressure=pressure, saturation_pressure=vapours.saturation_pressure, temperature=air.temperature
        )
        volume = dubinin.filled_volume(
            potential=potential, energy=self.energy, temperature=air.temperature, limit=self.pore_volume
        )
        return np.where(vapours.physisorbed, volume / vapours.molar_volume, 0.0)

    def physisorbed_together(self, vapours: VapourArrays, air: Air, inlet: Array) -> Array:
        """Loading of each vapour in the mixture [mol/g].

        Parameters
        ----------
        vapours : VapourArrays
            (n_v, …).
        air : Air
            Through the bed.
        inlet : ndarray
            (n_v, size), what the air brings [mol/m³].
        """
        rows = vapours.physisorbed[:, 0]
        loading = np.zeros(np.broadcast_shapes(inlet.shape, self.energy.shape))
        if rows.any():
            pressure = np.maximum(inlet * GAS_CONSTANT * air.temperature, _TRACE)
            loading[rows] = ideal_loadings(
                pressure=np.broadcast_to(pressure, loading.shape)[rows],
                saturation_pressure=vapours.saturation_pressure[rows],
                energy=self.energy[rows],
                limit=(self.pore_volume / vapours.molar_volume)[rows],
                temperature=air.temperature,
            )
        return loading

    def family_share(self, inlet: Array) -> Array:
        """Each vapour's share of its family's inlet [-]: members use up one stock together.

        Parameters
        ----------
        inlet : ndarray
            (n_v, size), what the air brings [mol/m³].
        """
        share = np.zeros(inlet.shape)
        for number in np.unique(self.family[self.family >= 0]):
            rows = self.family == number
            fed = np.maximum(inlet[rows], _TRACE)
            share[rows] = fed / fed.sum(axis=0)
        return share

    def uptake(self, vapours: VapourArrays, air: Air, inlet: Array) -> Uptake:
        """Capacity [mol] and transfer units [-] at a constant inlet of all vapours together.

        Parameters
        ----------
        vapours : VapourArrays
            (n_v, …).
        air : Air
            Through the bed.
        inlet : ndarray
            (n_v, size), what the air brings [mol/m³].
        """
        alone = self.physisorbed_alone(vapours, air, inlet)
        together = self.physisorbed_together(vapours, air, inlet)
        loading = _ahead_of_displacers(alone, together, inlet, vapours)
        stoichiometric = self.stoichiometric * self.family_share(inlet)
        return self._as_uptake(vapours, air, loading + stoichiometric, alone)

    def spill_uptake(self, vapours: VapourArrays, air: Air, inlet: Array) -> Uptake:
        """Capacity [mol] and transfer units [-] of the fresh layer for each vapour alone.

        Parameters
        ----------
        vapours : VapourArrays
            (n_v, …).
        air : Air
            Through the bed.
        inlet : ndarray
            (n_v, size), what the air brings [mol/m³].
        """
        alone = self.physisorbed_alone(vapours, air, inlet)
        return self._as_uptake(vapours, air, alone + self.stoichiometric, alone)

    def _as_uptake(self, vapours: VapourArrays, air: Air, loading: Array, alone: Array) -> Uptake:
        """The rate is that of the bed's fresh end, where the front stands: of the vapour alone."""
        capacity = loading * (self.mass * 1e3)
        rate = self.rate(vapours, air, alone * vapours.molar_mass)
        units = np.where(capacity > NOTHING, self.units(rate, air), 0.0)
        return Uptake(np.maximum(capacity, NOTHING), units)

    def free_share(self, vapours: VapourArrays, air: Air, held: Array, fresh: Uptake) -> Array:
        """Share of the fresh capacity left for a spill of each vapour [-], shape (n_a, n_v, size).

        The liquid volume of all that is at least as strongly held, and a family's used stock, are
        unavailable.

        Parameters
        ----------
        vapours : VapourArrays
            (n_v, …).
        air : Air
            Through the bed.
        held : ndarray
            (n_a, n_v, size), on the layer at each age [mol].
        fresh : Uptake
            Of the fresh layer.
        """
        volume = np.where(vapours.physisorbed, held * vapours.molar_volume, 0.0)
        stronger = self._at_least_as_strong(vapours, air)
        taken = np.einsum("vw,aws->avs", stronger, volume) / vapours.molar_volume
        for number in np.unique(self.family[self.family >= 0]):
            rows = self.family == number
            taken[:, rows] = held[:, rows].sum(axis=1, keepdims=True)
        return np.asarray(np.clip(1.0 - taken / fresh.capacity, 0.0, 1.0))

    def _at_least_as_strong(self, vapours: VapourArrays, air: Air) -> Array:
        """(n_v, n_v): 1 where the second is held at least as strongly as the first, by filling at 1 Pa."""
        potential = dubinin.potential(
            pressure=1.0, saturation_pressure=vapours.saturation_pressure, temperature=air.temperature
        )[:, 0]
        reduced = potential / np.median(self.energy, axis=1)
        weakness = np.where(vapours.physisorbed[:, 0], reduced, np.inf)
        return (weakness[None, :] <= weakness[:, None]).astype(float)


def _ahead_of_displacers(alone: Array, together: Array, inlet: Array, vapours: VapourArrays) -> Array:
    """Loading [mol/g], averaged over the layer, that a vapour has when its front leaves it.

    Fronts of slower vapours follow it and have covered the share T/T_s of the layer by then, where its
    loading has fallen from `alone` to `together`. With times per gram t = q/c: t = t_a/(1 + (t_a −
    t_m)/T_s), between t_m and t_a. T_s is the mean of the slower ones by their share of the filled volume.
    """
    c = np.maximum(inlet, _TRACE)
    mixed, own = together / c, np.maximum(alone, together) / c
    volume = together * vapours.molar_volume
    slower = mixed[None, :, :] > mixed[:, None, :]
    weight = np.einsum("vws,ws->vs", slower, volume)
    speed = np.einsum("vws,ws->vs", slower, volume / np.maximum(mixed, NOTHING))
    mean_speed = speed / np.where(weight > 0.0, weight, 1.0)
    return np.asarray(c * own / (1.0 + (own - mixed) * mean_speed))
