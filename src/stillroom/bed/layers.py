"""One layer of a drawn filter stack: what it holds of each vapour at an inlet, and how fast."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stillroom.bed import closed_form
from stillroom.media.equilibrium import dubinin
from stillroom.media.impregnants import FAMILIES
from stillroom.media.kinetics import dispersion, film, pores, wood_lodewyckx
from stillroom.media.mixtures import ideal_loadings
from stillroom.units import GAS_CONSTANT

__all__ = ["NOTHING", "Air", "Layer", "Loaded", "MediumDraw", "Uptake", "VapourArrays"]

Array = NDArray[np.float64]

NOTHING = 1e-30
"""stands for “holds nothing” where a capacity divides [mol]"""
_NEUTRALISED = tuple(FAMILIES.index(name) for name in ("acid gas", "ammonia"))
_MOST_COMPANY = 8
"""vapours that stand for all that a spill meets on the carbon: those that fill most of it"""
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
    activity: Array
    """activity coefficient, very dilute, among what room air puts on carbon [-]"""

    def rows(self, rows: NDArray[np.int64]) -> VapourArrays:
        """Those of some vapours.

        Parameters
        ----------
        rows : ndarray of int
            Their places [-].
        """
        return VapourArrays(
            molar_mass=self.molar_mass[rows],
            saturation_pressure=self.saturation_pressure[rows],
            molar_volume=self.molar_volume[rows],
            affinity=self.affinity[rows],
            diffusivity=self.diffusivity[rows],
            physisorbed=self.physisorbed[rows],
            activity=self.activity[rows],
        )


@dataclass(frozen=True, slots=True)
class Uptake:
    """What a layer takes up at an inlet, each (…, n_v, size)."""

    capacity: Array
    """[mol]"""
    units: Array
    """transfer units once the grains are filling [-]"""
    fresh_units: Array
    """transfer units of grains that hold nothing yet [-]"""
    filled: Array | float = 0.0
    """share of the grains' stock that is used up before the first of this vapour comes [-]"""

    def let_through(self, fed: Array) -> tuple[Array, Array]:
        """Outlet over inlet [-] and what has left the layer [mol].

        Parameters
        ----------
        fed : ndarray
            To the layer since it was new [mol].
        """
        return closed_form.filling_bed(
            fed=fed,
            capacity=self.capacity,
            fresh=self.fresh_units,
            filling=self.units,
            filled=self.filled,
        )

    def only(self, row: int) -> Uptake:
        """That of one vapour.

        Parameters
        ----------
        row : int
            Its place [-].
        """
        return replace(
            self, capacity=self.capacity[row], units=self.units[row], fresh_units=self.fresh_units[row]
        )

    def picked(self, which: NDArray[np.int64], shape: tuple[int, ...]) -> Uptake:
        """That of single vapours in single draws, as one row.

        Parameters
        ----------
        which : ndarray of int
            Places in the flattened array [-].
        shape : tuple of int
            (n_v, size) [-].
        """
        capacity, units, fresh, filled = (
            np.broadcast_to(np.asarray(values, float), shape).ravel()[which]
            for values in (self.capacity, self.units, self.fresh_units, self.filled)
        )
        return Uptake(capacity, units, fresh, filled)

    def shortened(self, share: Array) -> Uptake:
        """The layer of which only a share is left: capacity and units shrink alike.

        Parameters
        ----------
        share : ndarray
            What is left of it [-].
        """
        return replace(
            self,
            capacity=np.maximum(self.capacity * share, NOTHING),
            units=self.units * share,
            fresh_units=self.fresh_units * share,
            filled=1.0 - share,
        )


@dataclass(frozen=True, slots=True)
class MediumDraw:
    """One medium's own draws, each (size,), whatever the vapours are."""

    micropore_volume: Array
    """W0 [cm³/g]"""
    characteristic_energy: Array
    """E0 [J/mol]"""
    bulk_density: Array
    """[kg/m³]"""
    grain_diameter: Array
    """[m]"""
    capacities: dict[str, Array]
    """family -> [mol/g]"""


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer with its draws; arrays are (n_v, size) or (size,)."""

    mass: float
    """[kg]"""
    area: float
    """[m²]"""
    own: MediumDraw
    bulk_density: Array
    """[kg/m³]"""
    grain_diameter: Array
    """[m]"""
    void_fraction: float
    pore_volume: Array
    """W0 of each vapour, water on oxygen groups taken off [cm³/g]"""
    energy: Array
    """E of each vapour [J/mol]"""
    stoichiometric: Array
    """what the impregnation takes of each vapour when alone, 0 where nothing [mol/g]"""
    family: NDArray[np.int64]
    """(n_v,) number of the vapour's family, −1 for none"""
    rate_factor: Array
    reaction_share: Array
    """of the film's rate that an impregnation reaches"""
    company_factor: Array
    """activity coefficient of each vapour among what the normal load has put there [-]"""
    pressure_left: Array
    """factor on each vapour's pressure that stands for water in the pores [-]"""

    def rows(self, rows: NDArray[np.int64]) -> Layer:
        """The layer as some of the vapours see it.

        Parameters
        ----------
        rows : ndarray of int
            Their places [-].
        """
        return replace(
            self,
            pore_volume=self.pore_volume[rows],
            energy=self.energy[rows],
            stoichiometric=self.stoichiometric[rows],
            family=self.family[rows],
            rate_factor=self.rate_factor[rows],
            reaction_share=self.reaction_share[rows],
            company_factor=self.company_factor[rows],
            pressure_left=self.pressure_left[rows],
        )

    def pressure(self, air: Air, inlet: Array) -> Array:
        """Partial pressure at which dry carbon would hold what this one does [Pa].

        Parameters
        ----------
        air : Air
            Through the bed.
        inlet : ndarray
            (n_v, size), what the air brings [mol/m³].
        """
        return np.maximum(inlet * GAS_CONSTANT * air.temperature * self.pressure_left, _TRACE)

    def rates(self, vapours: VapourArrays, air: Air, loading: Array) -> tuple[Array, Array]:
        """Rate coefficients [1/s] of grains that are filling, and of fresh ones.

        Parameters
        ----------
        vapours : VapourArrays
            (n_v, …).
        air : Air
            Through the bed.
        loading : ndarray
            Of each vapour, at equilibrium [g/g].

        Notes
        -----
        Filling: the correlation, never faster than the film, and never slower than film and wide pores in series: at
        ppb the loading is far below the correlated data and √W_e would stop the uptake. Mixing of the air along the bed widens
        the front further (`kinetics.dispersion`). An impregnation takes
        a share of the film's rate, because the reaction moves into the grain as its outside is used up.

        Fresh: the film alone. A grain that holds nothing has its way in before it, and neutralisation is at once;
        of the other impregnations' reactions that is not known, and they have one rate.
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
        mixing = dispersion.rate_coefficient(
            velocity=velocity,
            grain_diameter=self.grain_diameter,
            diffusivity=vapours.diffusivity,
            void_fraction=self.void_fraction,
        )
        front = bounded * mixing / (bounded + mixing)
        filling = np.where(vapours.physisorbed, front, fastest * self.reaction_share)
        at_once = vapours.physisorbed | np.isin(self.family, _NEUTRALISED)[:, None]
        return np.asarray(filling), np.asarray(np.where(at_once, fastest, filling))

    def slope(self, vapours: VapourArrays, air: Air, inlet: Array) -> Array:
        """d ln q/d ln c of each vapour alone [-]; 0 for an impregnation.

        Parameters
        ----------
        vapours : VapourArrays
            (n_v, …).
        air : Air
            Through the bed.
        inlet : ndarray
            (n_v, size), what the air brings [mol/m³].
        """
        pressure = self.pressure(air, inlet)
        potential = dubinin.potential(
            pressure=pressure, saturation_pressure=vapours.saturation_pressure, temperature=air.temperature
        )
        slope = dubinin.log_slope(potential=potential, energy=self.energy, temperature=air.temperature)
        return np.where(vapours.physisorbed, slope, 0.0)

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
        pressure = self.pressure(air, inlet)
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
            pressure = self.pressure(air, inlet)
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
        return self._as_uptake(vapours, air, loading + stoichiometric, alone, inlet)

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
        return self._as_uptake(vapours, air, alone + self.stoichiometric, alone, inlet)

    def _as_uptake(
        self, vapours: VapourArrays, air: Air, loading: Array, alone: Array, inlet: Array
    ) -> Uptake:
        """Rate and width of the front are those of the bed's fresh end, where it stands: of the vapour alone."""
        capacity = loading * (self.mass * 1e3)
        holds = capacity > NOTHING
        filling, fresh = self.rates(vapours, air, alone * vapours.molar_mass)
        return Uptake(
            capacity=np.maximum(capacity, NOTHING),
            units=np.where(
                holds,
                closed_form.spread_units(self.units(filling, air), slope=self.slope(vapours, air, inlet)),
                0.0,
            ),
            fresh_units=np.where(holds, self.units(fresh, air), 0.0),
        )

    def loaded(
        self,
        vapours: VapourArrays,
        inlet: Array,
        held: Array,
        normal: Uptake,
        *,
        still: NDArray[np.bool_] | None = None,
    ) -> Loaded:
        """The layer as normal storage has left it.

        Parameters
        ----------
        vapours : VapourArrays
            (n_v, …).
        inlet : ndarray
            (n_v, size), what loaded it [mol/m³].
        held : ndarray
            (n_a, n_v, size), on it at each age [mol].
        normal : Uptake
            At that inlet.
        still : ndarray of bool, optional
            (n_v, size), which vapours are still fed; None: all [-].

        Notes
        -----
        Of vapours that are fed no more, what they would fill is never filled: without them more of the layer may be reached.
        """
        volume = np.where(vapours.physisorbed, vapours.molar_volume, 0.0)
        full = normal.capacity * volume
        reached = (held * volume).sum(axis=1) / np.maximum(full.sum(axis=0), NOTHING)
        if still is not None:
            own = (held * volume * still).sum(axis=1) / np.maximum((full * still).sum(axis=0), NOTHING)
            reached = np.maximum(reached, own)
        order = np.argsort(-np.median(full, axis=1), kind="stable") if len(full) else np.zeros(0, int)
        company = order[vapours.physisorbed[order, 0]][:_MOST_COMPANY]
        return Loaded(self, normal, inlet, held, np.minimum(reached, 1.0), company)


@dataclass(frozen=True, slots=True)
class Loaded:
    """A layer that normal storage has loaded, at each age of the filter."""

    layer: Layer
    normal: Uptake
    inlet: Array
    """(n_v, size) [mol/m³]"""
    held: Array
    """(n_a, n_v, size) [mol]"""
    reached: Array
    """share of the layer that the load has reached, by the volume of what it holds, (n_a, size) [-]"""
    company: NDArray[np.int64]
    """rows of the vapours that fill most of it"""

    def free_share(self, vapours: VapourArrays, air: Air, row: int, spilled: Array, fresh: Uptake) -> Array:
        """Share of the fresh capacity left for a spill of one vapour, (n_a, size) [-].

        Parameters
        ----------
        vapours : VapourArrays
            (n_v, …).
        air : Air
            Through the bed.
        row : int
            Place of the vapour [-].
        spilled : ndarray
            (size,), what the spill brings [mol/m³].
        fresh : Uptake
            Of this vapour by the fresh layer, at that.

        Notes
        -----
        Where the load has reached the carbon, what the vapour finds beside it (ideal adsorbed solution, less by an
        activity coefficient); before it, what it finds alone; less what is held of it. A family's used stock is
        unavailable.
        """
        layer = self.layer
        own = self.held[:, row] / fresh.capacity
        if layer.family[row] >= 0:
            own = self.held[:, layer.family == layer.family[row]].sum(axis=1) / fresh.capacity
        if not vapours.physisorbed[row, 0]:
            return np.asarray(np.clip(1.0 - own, 0.0, 1.0))
        rows = np.array([row, *(other for other in self.company if other != row)])
        mixed = np.vstack([spilled[None], self.inlet[rows[1:]]])
        loading = ideal_loadings(
            pressure=np.maximum(mixed * GAS_CONSTANT * air.temperature * layer.pressure_left[rows], _TRACE),
            saturation_pressure=vapours.saturation_pressure[rows],
            energy=layer.energy[rows],
            limit=(layer.pore_volume / vapours.molar_volume)[rows],
            temperature=air.temperature,
        )
        beside = loading[0] / layer.company_factor[row] * layer.mass * 1e3 / fresh.capacity
        return np.asarray(np.clip(1.0 - self.reached * (1.0 - np.minimum(beside, 1.0)) - own, 0.0, 1.0))


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
