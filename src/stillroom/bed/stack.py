"""A filter stack with its uncertain inputs drawn: exhaust, amount held, life, and exhaust in a spill."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.bed import closed_form
from stillroom.bed.drawing import draw_layers, draw_served, vapour_arrays
from stillroom.bed.layers import Air, Layer, Loaded, Uptake, VapourArrays
from stillroom.bed.model import SpillExhaust, Vapour
from stillroom.media.draws import sample
from stillroom.media.model import FilterStack

__all__ = ["Stack"]

Array = NDArray[np.float64]

_MOST_BYPASS = 0.999  # some air must go through the beds, or nothing can be said of them
_STEPS = 60  # in `time_to` of several layers: if all of them halve, they come to the last bit of a double
_NEAR = 1e-11  # logit of the outlet within which it counts as reached [-]


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
    served: Array | float = 0.0
    """what the filter was fed with before, a mean, (n_v, size) [mol/m³]"""
    as_now: Array | float = 1.0
    """share of that time in which a vapour came as it comes now, (n_v, 1) [-]"""
    served_for: float = 0.0
    """how long, from its first second on [s]"""
    _last: dict[str, _Load] = field(default_factory=dict, repr=False, compare=False)
    _times: dict[float, tuple[ArrayLike, Array]] = field(default_factory=dict, repr=False, compare=False)

    @classmethod
    def draw(
        cls,
        stack: FilterStack,
        vapours: Sequence[Vapour],
        *,
        flow: float,
        temperature: float,
        pressure: float,
        relative_humidity: ArrayLike,
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
        relative_humidity : array_like
            Fraction, 0 to 1, one or a draw each [-].
        rng : numpy.random.Generator
            Source of randomness.
        size : int
            Number of draws [-].

        Notes
        -----
        A vapour whose properties are not all known is not held at all; `missing` says why.

        What the stack `served` before counts as fed in its first days, with the air's flow of now. Each vapour's capacity and
        its company are those of the higher of both concentrations from the first second on, and what the bed lets through
        is a share of that: cautious where the air has become cleaner.
        """
        bypass = np.minimum(sample(stack.seal_bypass, rng, size), _MOST_BYPASS)
        arrays, missing, notes = vapour_arrays(vapours, temperature=temperature, pressure=pressure)
        layers = draw_layers(
            stack, vapours, arrays, missing, relative_humidity=relative_humidity, rng=rng, size=size
        )
        air = Air(flow * (1.0 - bypass), temperature, pressure)
        past = draw_served(stack.served, vapours, rng=rng, size=size)
        return cls(tuple(vapours), layers, bypass, air, arrays, missing, notes, *past)

    def _inlet(self, inlet: ArrayLike) -> Array:
        shape = (len(self.vapours), self.bypass.size)
        return np.broadcast_to(np.asarray(inlet, float), shape)

    def _before(self, inlet: Array) -> Array:
        """What came in the time served [mol/m³]."""
        return np.asarray(self.served + self.as_now * inlet)

    def _loading(self, inlet: Array) -> Array:
        """The concentration by which the beds are loaded: of now and before the higher [mol/m³]."""
        return np.maximum(inlet, self._before(inlet)) if self.served_for else inlet

    def _fed(self, ages: ArrayLike, inlet: Array) -> Array:
        """Amount fed to the first layer at ages that broadcast against (n_v, size) [mol]."""
        age = np.asarray(ages, float)
        if not self.served_for:
            return np.asarray(age * (self.air.flow * inlet))
        before = np.minimum(age, self.served_for)
        return np.asarray(self.air.flow * (self._before(inlet) * before + inlet * (age - before)))

    def _age(self, fed: Array, inlet: Array) -> Array:
        """When so much has been fed [s]; infinite where never."""
        before = self._fed(self.served_for, inlet)
        early = (fed <= before) & (before > 0.0)
        rate = self.air.flow * np.where(early, self._before(inlet), inlet)
        rest = np.where(early, fed, fed - before)
        took = np.where(rate > 0.0, rest / np.where(rate > 0.0, rate, 1.0), np.inf)
        age = np.where(early, took, self.served_for + took)
        return np.asarray(np.where(fed <= 0.0, 0.0, age))

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
        loading = self._loading(c)
        uptakes = self._uptakes(loading)
        out = np.empty((np.size(times), *c.shape))
        for k, age in enumerate(
            np.asarray(times, float)
        ):  # one age after the other stays in the processor's cache
            through = _beds_fraction(self._fed(age, c), uptakes)
            out[k] = (1.0 - self.bypass) * through * loading + self.bypass * c
        return out

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

    def held_at(self, age: ArrayLike, inlet: ArrayLike) -> Array:
        """Amount of each vapour on all layers together at an age of its own in each draw, shape (n_v, size) [mol].

        Parameters
        ----------
        age : array_like, broadcast to (n_v, size)
            Of the filter [s].
        inlet : array_like, shape (n_v, size)
            Constant from the first second [mol/m³].
        """
        c = self._inlet(inlet)
        uptakes = self._uptakes(self._loading(c))
        return np.asarray(sum(_held_of(self._fed(age, c), uptakes), start=np.zeros_like(c)))

    def _held_by_layer(self, times: ArrayLike, inlet: Array) -> list[Array]:
        return self._held(times, inlet, self._uptakes(self._loading(inlet)))

    def _held(self, times: ArrayLike, inlet: Array, uptakes: Sequence[Uptake]) -> list[Array]:
        return _held_of(self._fed(np.asarray(times, float)[:, None, None], inlet), uptakes)

    def time_to(self, fraction: ArrayLike, inlet: ArrayLike) -> Array:
        """Age at which exhaust over inlet reaches `fraction`, shape (n_v, size) [s]; infinite where never.

        Parameters
        ----------
        fraction : array_like, scalar or (n_v, size)
            Exhaust over inlet; at or below the by-pass it is reached at once, at 1 never [-].
        inlet : array_like, shape (n_v, size)
            Constant from the first second [mol/m³].
        """
        if not isinstance(fraction, float):
            return self._time_to(fraction, inlet)
        known = self._times.get(fraction)
        if known is None or known[0] is not inlet:  # two clocks ask for the same
            known = self._times[fraction] = inlet, self._time_to(fraction, inlet)
        return known[1]

    def _time_to(self, fraction: ArrayLike, inlet: ArrayLike) -> Array:
        c = self._inlet(inlet)
        wanted = np.broadcast_to(np.asarray(fraction, float), c.shape)
        x = (wanted - self.bypass) / (1.0 - self.bypass)
        loading = self._loading(c)
        if self.served_for:
            x = x * c / np.maximum(loading, 1e-300)
        uptakes = self._uptakes(loading)
        if not uptakes:
            return np.where(wanted >= 1.0, np.inf, 0.0) + np.zeros(c.shape)
        fed = self._fed_to(x, uptakes)
        return np.where(c > 0.0, self._age(fed, c), np.inf)

    def _fed_to(self, x: Array, uptakes: Sequence[Uptake]) -> Array:
        """Amount fed when the beds' outlet over inlet reaches x [mol]."""
        target = np.clip(x, 0.0, 1.0 - 1e-15)
        each = target ** (1.0 / len(uptakes))
        high = sum(
            (
                closed_form.fed_at(fraction=each, capacity=u.capacity, units=u.units) + u.capacity
                for u in uptakes
            ),
            start=np.zeros_like(x),
        )
        fed = _root(target, high, uptakes)
        return np.where(x >= 1.0, np.inf, fed)

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
        The normal load shortens each layer to the share of its capacity that is left (`Loaded.free_share`):
        transfer units and capacity shrink alike, and its grains count as filled by what is taken. Validity: vapours that the spill pushes off the carbon, and
        what desorbs after it, are not counted.
        """
        spilled = self._inlet(spill_inlet)
        lasting = np.broadcast_to(np.asarray(duration, float), spilled.shape)
        load = self._load(ages, inlet)
        shape = (np.size(ages), *spilled.shape)
        peak, mean = np.zeros(shape), np.zeros(shape)
        rows = np.flatnonzero((spilled > 0.0).any(axis=1))
        own = self.arrays.rows(rows)
        fresh = [layer.rows(rows).spill_uptake(own, self.air, spilled[rows]) for layer in self.layers]
        for place, row in enumerate(rows):
            dose = np.broadcast_to(self.air.flow * spilled[row] * lasting[row], (shape[0], shape[2]))
            fed, fraction = dose, np.ones_like(dose)
            for layer, new in zip(load.layers, fresh, strict=True):
                alone = new.only(place)
                share = layer.free_share(self.arrays, self.air, int(row), spilled[row], alone)
                left = alone.shortened(share)
                outlet, fed = left.let_through(fed)
                fraction = fraction * outlet
            through = np.where(dose > 0.0, fed / np.where(dose > 0.0, dose, 1.0), fraction)
            peak[:, row] = spilled[row] * ((1.0 - self.bypass) * fraction + self.bypass)
            mean[:, row] = spilled[row] * ((1.0 - self.bypass) * through + self.bypass)
        return SpillExhaust(peak=peak, mean=mean)

    def _load(self, ages: ArrayLike, inlet: ArrayLike) -> _Load:
        """What normal storage has left on the layers. The last answer is kept: many spills ask for the same."""
        wanted = np.asarray(ages, float)
        known = self._last.get("load")
        if known is not None and known.asked is inlet and np.array_equal(known.ages, wanted):
            return known
        normal = self._inlet(inlet)
        loading = self._loading(normal)
        same = known is not None and known.asked is inlet
        uptakes = [layer.normal for layer in known.layers] if same and known else self._uptakes(loading)
        held = self._held(wanted, normal, uptakes)
        if self.served_for:  # what is fed now may hold where its former company never came
            alone = self._held(wanted, normal, self._uptakes(normal))
            held = [np.maximum(one, other) for one, other in zip(held, alone, strict=True)]
        load = _Load(
            inlet,
            wanted,
            [
                layer.loaded(
                    self.arrays, loading, amount, uptake, still=normal > 0.0 if self.served_for else None
                )
                for layer, amount, uptake in zip(self.layers, held, uptakes, strict=True)
            ],
        )
        self._last["load"] = load
        return load


@dataclass(frozen=True, slots=True)
class _Load:
    """A normal load of the layers at each age."""

    asked: ArrayLike
    ages: Array
    layers: list[Loaded]


def _held_of(fed: Array, uptakes: Sequence[Uptake]) -> list[Array]:
    """What each layer holds of what was fed to the first [mol]."""
    held = []
    for uptake in uptakes:
        out = uptake.let_through(fed)[1]
        held.append(fed - out)
        fed = out
    return held


def _beds_fraction(fed: Array, uptakes: Sequence[Uptake]) -> Array:
    """Outlet over inlet of the beds alone when `fed` [mol] has gone to the first layer."""
    fraction = np.ones_like(fed)
    for uptake in uptakes:
        outlet, fed = uptake.let_through(fed)
        fraction = fraction * outlet
    return fraction


def _logit(x: Array) -> Array:
    return np.log(np.maximum(x, 1e-300)) - np.log(np.maximum(1.0 - x, 1e-16))


def _root(target: Array, high: Array, uptakes: Sequence[Uptake]) -> Array:
    """Amount fed at which the outlet reaches `target`, between 0 and `high`, both (n_v, size); 0 where at once.

    The logit of a front's outlet is nearly straight: the false position, with the weight of an end that stays halved
    (Illinois), and a halving each fourth step. What is found drops out.
    """
    found = high.ravel().copy()
    wanted = _logit(target).ravel()

    def miss(fed: Array, which: NDArray[np.int64]) -> Array:
        return (
            _logit(_beds_fraction(fed, [uptake.picked(which, target.shape) for uptake in uptakes]))
            - wanted[which]
        )

    which = np.arange(found.size)
    low, top = np.zeros_like(found), found.copy()
    below, above = miss(low, which), miss(top, which)
    found[below >= 0.0] = 0.0
    active = (below < 0.0) & (above > 0.0)
    side = np.zeros(found.size)
    for step in range(_STEPS):
        which = which[active]
        low, top, below, above, side = (values[active] for values in (low, top, below, above, side))
        if not which.size:
            break
        straight = low - below * (top - low) / (above - below)
        middle = 0.5 * (low + top) if step % 4 == 3 else straight
        f = miss(middle, which)
        found[which] = middle
        right = f >= 0.0
        below = np.where(right & (side > 0), 0.5 * below, np.where(right, below, f))
        above = np.where(~right & (side < 0), 0.5 * above, np.where(right, f, above))
        low, top, side = (
            np.where(right, low, middle),
            np.where(right, middle, top),
            np.where(right, 1.0, -1.0),
        )
        active = (np.abs(f) > _NEAR) & (top - low > 1e-14 * top)
    return found.reshape(target.shape)
