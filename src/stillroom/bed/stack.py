"""A filter stack with its uncertain inputs drawn: exhaust, amount held, life, and exhaust in a spill."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.bed import closed_form
from stillroom.bed.drawing import draw_layers, vapour_arrays
from stillroom.bed.layers import Air, Layer, Uptake, VapourArrays
from stillroom.bed.model import SpillExhaust, Vapour
from stillroom.media.draws import sample
from stillroom.media.model import FilterStack

__all__ = ["Stack"]

Array = NDArray[np.float64]

_MOST_BYPASS = 0.999  # some air must go through the beds, or nothing can be said of them
_HALVINGS = 60  # of the bracket in `time_to` of several layers: to the last bit of a double


@dataclass(frozen=True, slots=True)
class Stack:
    """Layers in series and the by-pass of their seals, drawn `size` times. Make one with `Stack.draw`.

    Layers stand in series: what one passes is what the next is fed. For the rectangular front of
    `closed_form` that is exact, because its time enters only through the amount fed.
    """

    vapours: tuple[Vapour, ...]
    layers: tuple[Layer, ...]
    bypass: Array
    """(size,) [-]"""
    air: Air
    arrays: VapourArrays
    missing: dict[str, str]
    """cas -> why the filter cannot be credited with holding it; its exhaust is its inlet"""
    notes: tuple[str, ...]

    @classmethod
    def draw(
        cls,
        stack: FilterStack,
        vapours: Sequence[Vapour],
        *,
        flow: float,
        temperature: float,
        pressure: float,
        relative_humidity: float,
        rng: np.random.Generator,
        size: int,
    ) -> Stack:
        """Draw every uncertain property of the stack.

        Parameters
        ----------
        stack : FilterStack
            Beds in the order in which the air meets them.
        vapours : sequence of Vapour
            All vapours in the air to the filter, room background included.
        flow : float
            Air through the stack [m³/s].
        temperature, pressure : float
            State of the air [K], [Pa].
        relative_humidity : float
            Fraction, 0 to 1 [-].
        rng : numpy.random.Generator
            Source of randomness.
        size : int
            Number of draws [-].

        Notes
        -----
        A vapour whose properties are not all known is not held at all; `missing` says why.
        """
        bypass = np.minimum(sample(stack.seal_bypass, rng, size), _MOST_BYPASS)
        arrays, missing, notes = vapour_arrays(vapours, temperature=temperature, pressure=pressure)
        layers = draw_layers(
            stack, vapours, arrays, missing, relative_humidity=relative_humidity, rng=rng, size=size
        )
        air = Air(flow * (1.0 - bypass), temperature, pressure)
        return cls(tuple(vapours), layers, bypass, air, arrays, missing, notes)

    def _inlet(self, inlet: ArrayLike) -> Array:
        shape = (len(self.vapours), self.bypass.size)
        return np.broadcast_to(np.asarray(inlet, float), shape)

    def _uptakes(self, inlet: Array) -> tuple[Uptake, ...]:
        return tuple(layer.uptake(self.arrays, self.air, inlet) for layer in self.layers)

    def exhaust(self, times: ArrayLike, inlet: ArrayLike) -> Array:
        """Concentration given back to the room, through beds and by-pass, shape (n_t, n_v, size) [mol/m³].

        Parameters
        ----------
        times : array_like, shape (n_t,)
            Ages of the filter [s].
        inlet : array_like, shape (n_v, size)
            Constant from the first second [mol/m³].

        Notes
        -----
        (1 − b)·outlet + b·inlet. Validity: as `closed_form.outlet_fraction`; no roll-up.
        """
        c = self._inlet(inlet)
        fed = np.asarray(times, float)[:, None, None] * (self.air.flow * c)
        return np.asarray(c * self._fraction(fed, self._uptakes(c)))

    def _fraction(self, fed: Array, uptakes: Sequence[Uptake]) -> Array:
        """Exhaust over inlet when `fed` [mol] has gone to the first layer."""
        fraction = np.ones_like(fed)
        for number, uptake in enumerate(uptakes):
            fraction = fraction * closed_form.outlet_fraction(
                fed=fed, capacity=uptake.capacity, units=uptake.units
            )
            if number + 1 < len(uptakes):
                fed = closed_form.passed(fed=fed, capacity=uptake.capacity, units=uptake.units)
        return np.asarray((1.0 - self.bypass) * fraction + self.bypass)

    def held(self, times: ArrayLike, inlet: ArrayLike) -> Array:
        """Amount of each vapour on all layers together, shape (n_t, n_v, size) [mol].

        Parameters
        ----------
        times : array_like, shape (n_t,)
            Ages of the filter [s].
        inlet : array_like, shape (n_v, size)
            Constant from the first second [mol/m³].
        """
        layers = self._held_by_layer(times, self._inlet(inlet))
        return np.asarray(sum(layers)) if layers else np.zeros((np.size(times), *self._inlet(inlet).shape))

    def _held_by_layer(self, times: ArrayLike, inlet: Array) -> list[Array]:
        fed = np.asarray(times, float)[:, None, None] * (self.air.flow * inlet)
        held = []
        for uptake in self._uptakes(inlet):
            out = closed_form.passed(fed=fed, capacity=uptake.capacity, units=uptake.units)
            held.append(fed - out)
            fed = out
        return held

    def time_to(self, fraction: ArrayLike, inlet: ArrayLike) -> Array:
        """Age at which exhaust over inlet reaches `fraction`, shape (n_v, size) [s]; infinite where never.

        Parameters
        ----------
        fraction : array_like, scalar or (n_v, size)
            Exhaust over inlet; at or below the by-pass it is reached at once, at 1 never [-].
        inlet : array_like, shape (n_v, size)
            Constant from the first second [mol/m³].
        """
        c = self._inlet(inlet)
        wanted = np.broadcast_to(np.asarray(fraction, float), c.shape)
        x = (wanted - self.bypass) / (1.0 - self.bypass)
        uptakes = self._uptakes(c)
        if not uptakes:
            return np.where(wanted >= 1.0, np.inf, 0.0) + np.zeros(c.shape)
        fed = self._fed_to(x, uptakes)
        rate = self.air.flow * c
        return np.where(rate > 0.0, fed / np.where(rate > 0.0, rate, 1.0), np.inf)

    def _fed_to(self, x: Array, uptakes: Sequence[Uptake]) -> Array:
        """Amount fed when the beds' outlet over inlet reaches x: closed for one layer, halved for several."""
        if len(uptakes) == 1:
            return closed_form.fed_at(fraction=x, capacity=uptakes[0].capacity, units=uptakes[0].units)
        target = np.clip(x, 0.0, 1.0 - 1e-15)
        each = target ** (1.0 / len(uptakes))
        high = sum(
            (
                closed_form.fed_at(fraction=each, capacity=u.capacity, units=u.units) + u.capacity
                for u in uptakes
            ),
            start=np.zeros_like(x),
        )
        low = np.zeros_like(high)
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + high)
            above = self._beds_fraction(middle, uptakes) >= target
            low, high = np.where(above, low, middle), np.where(above, middle, high)
        reached_at_once = self._beds_fraction(np.zeros_like(high), uptakes) >= target
        return np.where(x >= 1.0, np.inf, np.where(reached_at_once, 0.0, high))

    def _beds_fraction(self, fed: Array, uptakes: Sequence[Uptake]) -> Array:
        return np.asarray((self._fraction(fed, uptakes) - self.bypass) / (1.0 - self.bypass))

    def spill_exhaust(
        self, ages: ArrayLike, inlet: ArrayLike, spill_inlet: ArrayLike, duration: ArrayLike
    ) -> SpillExhaust:
        """Exhaust while each vapour in turn is spilled, on a filter of each age.

        Parameters
        ----------
        ages : array_like, shape (n_a,)
            Ages of the filter at the spill [s].
        inlet : array_like, shape (n_v, size)
            Normal inlet that loaded it [mol/m³].
        spill_inlet : array_like, shape (n_v, size)
            Inlet of each vapour in its own spill, constant [mol/m³].
        duration : array_like, scalar or broadcast to (n_v, size)
            How long the spill lasts [s].

        Returns
        -------
        SpillExhaust
            Of the spilled vapour alone; `peak` stands at the end of the spill.

        Notes
        -----
        The normal load shortens each layer to the share of its capacity that is left (`Layer.free_share`):
        transfer units and capacity shrink alike. Validity: vapours that the spill pushes off the carbon, and
        what desorbs after it, are not counted.
        """
        normal, spilled = self._inlet(inlet), self._inlet(spill_inlet)
        lasting = np.broadcast_to(np.asarray(duration, float), spilled.shape)
        age_count = np.size(ages)
        fed = np.broadcast_to(self.air.flow * spilled * lasting, (age_count, *spilled.shape))
        dose, fraction = fed, np.ones_like(fed)
        for layer, held in zip(self.layers, self._held_by_layer(ages, normal), strict=True):
            fresh = layer.spill_uptake(self.arrays, self.air, spilled)
            free = layer.free_share(self.arrays, self.air, held, fresh)
            left = {"capacity": np.maximum(fresh.capacity * free, 1e-30), "units": fresh.units * free}
            fraction = fraction * closed_form.outlet_fraction(fed=fed, **left)
            fed = closed_form.passed(fed=fed, **left)
        mean = np.where(dose > 0.0, fed / np.where(dose > 0.0, dose, 1.0), fraction)
        through = 1.0 - self.bypass
        return SpillExhaust(
            peak=spilled * (through * fraction + self.bypass), mean=spilled * (through * mean + self.bypass)
        )
