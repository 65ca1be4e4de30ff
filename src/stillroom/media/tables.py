"""Any pure vapour's isotherm as a table, for mixtures: ln p° and ln q° against the reduced spreading pressure.

With ψ = ∫ q d ln p [mol/kg] and s = ln ψ, the one function L(s) = ln p° says everything: dL/ds = ψ/q°, so the
loading is its slope and can never disagree with it. Nodes stand between the onset of Henry's law and full pores,
at equal steps of u = s + κψ − c ln(1 − ψ/T): of ln ψ where little is held, of ψ towards saturation, where the law
bends within a small part of ln ψ, and ever closer together (T just above full pores; c = 0 but for laws with a
cusp there). Each has L and its first two derivatives as the law itself gives them, and a polynomial of
the fifth degree joins two of them. Both ends are closed::

    below   L = L_0 + (s − s_0) + (L′_0 − 1)(e^{s − s_0} − 1)      Henry with its first correction
    above   L = L_N + L′_N (e^{s − s_N} − 1)                       pores that are full stay full

Each law has its own grid, so that its bends (Henry's onset, saturation) stand at the ends, never between nodes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.units import GAS_CONSTANT

__all__ = ["NODES", "Tables", "dubinin_astakhov", "from_loading", "langmuir", "stack"]

Array = NDArray[np.float64]

NODES = 128
"""Nodes of a table: 1e-7 in p and q for the laws here (docs/theory/media.md); 4 kB a vapour and draw."""

_HENRY_SHARE = (
    1e-5  # of a site's capacity: where Langmuir's table starts; Henry with its correction errs by 1e-11
)
_FULL = 24.0  # ln(b p) where Langmuir's table ends: full but for 4e-11
_LOWEST = 46.0  # −ln(q/q0) where Henry's law takes over at the latest: 1e-20 of the pores
_CROWDING = 0.3  # κψ over dL/ds at the last node
_CUSP, _NEAR = 1.0, 1e-4  # c, and how far T is above full pores
_STEPS = 60
_GAUSS = np.polynomial.legendre.leggauss(8)


@dataclass(frozen=True)
class Tables:
    """Pure vapours' laws; both arrays float64 and C-contiguous.

    Attributes
    ----------
    grid : ndarray, shape (vapours, draws, 9)
        u of the first node, nodes per unit of u, κ [kg/mol], s = ln ψ (ψ in mol/kg) of the first and of the last
        node, dL/ds of the first and of the last node, c [–], T [mol/kg].
    values : ndarray, shape (vapours, draws, nodes, 4)
        At each node L = ln p° (p in Pa), h·dL/du and ½h²·d²L/du², h the step in u, and s [–].

    Notes
    -----
    What a builder gives for parameters of another shape, () or (draws,), has that shape in place of
    (vapours, draws); `stack` makes of several such what the kernels take.
    """

    grid: Array
    values: Array

    def log_pressure(self, log_spreading: ArrayLike) -> Array:
        """ln p° where ln ψ is as given [–], p in Pa.

        Parameters
        ----------
        log_spreading : array_like, broadcast against (…, vapours, draws)
            ln ψ, ψ in mol/kg [–].
        """
        return self._law(np.asarray(log_spreading, float))[0]

    def log_loading(self, log_spreading: ArrayLike) -> Array:
        """ln q° where ln ψ is as given [–], q in mol/kg.

        Parameters
        ----------
        log_spreading : array_like, broadcast against (…, vapours, draws)
            ln ψ, ψ in mol/kg [–].
        """
        s = np.asarray(log_spreading, float)
        return np.asarray(s - np.log(self._law(s)[1]))

    def _law(self, log_spreading: Array) -> tuple[Array, Array]:
        """L and dL/ds; the kernels' arithmetic in numpy."""
        begin, density, stretch, first, last, _, _, cusp, top = np.moveaxis(self.grid, -1, 0)
        end = self.values.shape[-2] - 1
        s = np.clip(log_spreading, first, last)
        u, rise, _ = _map(s, stretch, cusp, top)
        place = (u - begin) * density
        node = np.clip(place.astype(np.intp), 0, end - 1)
        t = place - node
        values = np.broadcast_to(self.values, (*node.shape, end + 1, 4))
        left, right = (
            np.take_along_axis(values, k[..., None, None], axis=-2)[..., 0, :] for k in (node, node + 1)
        )
        f, d, c = np.moveaxis(left[..., :3], -1, 0)
        e0 = right[..., 0] - f - d - c
        e1 = right[..., 1] - d - 2.0 * c
        e2 = right[..., 2] - c
        k3, k4, k5 = 10 * e0 - 4 * e1 + e2, -15 * e0 + 7 * e1 - 2 * e2, 6 * e0 - 3 * e1 + e2
        level = f + t * (d + t * (c + t * (k3 + t * (k4 + t * k5))))
        slope = (d + t * (2 * c + t * (3 * k3 + t * (4 * k4 + t * 5 * k5)))) * density * rise
        below, above = np.minimum(log_spreading - first, 0.0), np.maximum(log_spreading - last, 0.0)
        level = level + below + (slope - 1.0) * np.expm1(below) + slope * np.expm1(above)
        slope = np.where(below < 0.0, 1.0 + (slope - 1.0) * np.exp(below), slope * np.exp(above))
        return np.asarray(level), np.asarray(slope)


def stack(*tables: Tables) -> Tables:
    """Several vapours' tables as one, (vapours, draws), in the order given.

    Parameters
    ----------
    tables
        Each of one vapour, shape () or (draws,), or of several, shape (vapours, draws); equally many nodes. One draw
        is repeated where others have more.
    """
    grids = [table.grid.reshape(-1, *np.atleast_2d(table.grid).shape[-2:]) for table in tables]
    draws = max(grid.shape[1] for grid in grids)
    values = [table.values.reshape(*grid.shape[:2], -1, 4) for table, grid in zip(tables, grids, strict=True)]

    def whole(parts: list[Array]) -> Array:
        spread = [np.broadcast_to(part, (len(part), draws, *part.shape[2:])) for part in parts]
        return np.ascontiguousarray(np.concatenate(spread))

    return Tables(whole(grids), whole(values))


def _map(s: Array, stretch: Array, cusp: Array, top: Array) -> tuple[Array, Array, Array]:
    """u, du/ds and d²u/ds²."""
    psi = np.exp(s)
    bent = stretch * psi
    if not np.any(cusp > 0.0):
        return s + bent, 1.0 + bent, bent
    near = psi / (top - psi)
    return s + bent + cusp * np.log1p(near), 1.0 + bent + cusp * near, bent + cusp * near * (1.0 + near)


@dataclass(frozen=True)
class _Nodes:
    """Where a table's nodes stand; arrays of the law's shape, `s` with the nodes first."""

    first: Array
    last: Array
    stretch: Array
    cusp: Array
    top: Array
    step: Array
    s: Array

    @classmethod
    def between(
        cls, first: Array, last: Array, *, crowding: Array, nodes: int, cusp: ArrayLike = False
    ) -> _Nodes:
        """`nodes` of them from s = first to last, where κψ = `crowding`."""
        from scipy.special import wrightomega

        stretch, top = crowding * np.exp(-last), np.exp(last) * (1.0 + _NEAR)
        grading = np.where(cusp, _CUSP, 0.0 * last)
        begin, end = (_map(s, stretch, grading, top)[0] for s in (first, last))
        step = np.asarray((end - begin) / (nodes - 1))
        u = begin + step * np.arange(nodes).reshape(-1, *([1] * step.ndim))
        s = u - wrightomega(u + np.log(stretch))  # s + κ e^s = u
        if np.any(grading > 0.0):
            s = _invert(u, first, last, lambda s: _map(s, stretch, grading, top)[:2], s)
        s[0], s[-1] = first, last
        return cls(first, last, stretch, grading, top, step, s)

    def table(self, level: Array, *, slope: Array, growth: Array) -> Tables:
        """From L, L′ = dL/ds and d ln q/d ln p at the nodes, nodes first."""
        _, rise, turn = _map(self.s, self.stretch, self.cusp, self.top)
        along = slope / rise  # dL/du
        bend = (slope * (1.0 - growth * slope) - along * turn) / rise**2
        values = [level, self.step * along, 0.5 * self.step**2 * bend, self.s]
        begin = _map(self.first, self.stretch, self.cusp, self.top)[0]
        ends = [self.first, self.last, slope[0], slope[-1]]
        grid = [begin, 1.0 / self.step, self.stretch, *ends, self.cusp, self.top]
        return Tables(
            np.ascontiguousarray(np.stack(grid, axis=-1)),
            np.ascontiguousarray(np.moveaxis(np.stack(values, axis=-1), 0, -2)),
        )


def _invert(
    goal: Array, low: Array, high: Array, law: Callable[[Array], tuple[Array, Array]], guess: Array
) -> Array:
    """x between `low` and `high` where a growing law's value is `goal`: Newton's steps kept inside by halving."""
    low, high = np.broadcast_to(low, goal.shape).copy(), np.broadcast_to(high, goal.shape).copy()
    x = np.clip(guess, low, high)
    for _ in range(_STEPS):
        value, slope = law(x)
        short = goal - value
        low, high = np.where(short >= 0.0, x, low), np.where(short <= 0.0, x, high)
        new = x + short / slope
        new = np.where((new >= low) & (new <= high), new, 0.5 * (low + high))
        moved = np.max(np.abs(new - x))
        x = new
        if moved < 1e-13 * (1.0 + np.max(np.abs(x))):
            break
    return x


def langmuir(
    *,
    limit: ArrayLike,
    affinity: ArrayLike,
    saturation_pressure: ArrayLike | None = None,
    nodes: int = NODES,
) -> Tables:
    """Langmuir's law on one kind of site, or summed over several kinds (two: dual-site Langmuir).

    Parameters
    ----------
    limit, affinity : array_like, shape (sites, …)
        Capacity of each kind of site [mol/kg] and its b in q = limit·b p/(1 + b p) [1/Pa], all above zero.
    saturation_pressure : array_like, shape (…)
        Where the loading stays constant from; absent: only where every site is full but for 4e-11 [Pa].
    nodes : int
        Nodes of the table [–].

    Notes
    -----
    ψ = Σ limit·ln(1 + b p); with one kind of site p° = (e^{ψ/limit} − 1)/b, otherwise Newton's steps on ln ψ.
    Between sites of very different b the law has knees: 512 nodes for 1e-7 there.
    """
    q0, b = np.broadcast_arrays(*(np.asarray(x, float) for x in (limit, affinity)))

    def law(x: Array) -> tuple[Array, Array, Array]:
        y = b * np.exp(x)[:, None]
        held = q0 * y / (1.0 + y)
        return np.log((q0 * np.log1p(y)).sum(1)), held.sum(1), (held / (1.0 + y)).sum(1)

    def curve(x: Array) -> tuple[Array, Array]:
        s, q, _ = law(x)
        return s, q * np.exp(-s)

    low, high = np.log(_HENRY_SHARE) - np.log(b.max(0)), _FULL - np.log(b.min(0))
    if saturation_pressure is not None:
        high = np.clip(np.log(np.asarray(saturation_pressure, float)), low + 1e-3, high)
    first, last = (curve(np.asarray(x)[None])[0][0] for x in (low, high))
    crowding = _CROWDING / curve(np.asarray(high)[None])[1][0]
    where = _Nodes.between(first, last, crowding=crowding, nodes=nodes)
    s = where.s
    if len(q0) == 1:
        x = np.log(np.expm1(np.exp(s) / q0)) - np.log(b)
    else:
        x = _invert(s, low, high, curve, s - np.log((q0 * b).sum(0)))
    _, q, growth = law(x)
    return where.table(x, slope=np.exp(s) / q, growth=growth / q)


def dubinin_astakhov(
    *,
    saturation_pressure: ArrayLike,
    energy: ArrayLike,
    limit: ArrayLike,
    temperature: ArrayLike,
    exponent: ArrayLike = 2.0,
    nodes: int = NODES,
) -> Tables:
    """q = limit·exp(−(A/E)^n), A = RT ln(p_sat/p), with Henry's law where d ln q/d ln p reaches one.

    Parameters
    ----------
    saturation_pressure : array_like, shape (…)
        [Pa]
    energy : array_like, shape (…)
        Characteristic energy E = β E0 [J/mol].
    limit : array_like, shape (…)
        Loading of full pores [mol/kg].
    temperature : array_like, shape (…)
        Temperature [K].
    exponent : array_like, shape (…)
        n, above one; 2 is Dubinin–Radushkevich [–].
    nodes : int
        Nodes of the table [–].

    Notes
    -----
    ψ = limit·E/(nRT)·Γ(1/n, (A/E)^n) less its part beyond A_h = E·(E/(nRT))^{1/(n−1)}, where ψ = q. With n = 2 this
    is `stillroom.media.equilibrium.dubinin`. Where A_h lies so high that less than 1e-20 of the pores would be
    filled, Henry's law takes over at that loading.

    Validity: measured carbons follow it from p/p_sat of about 1e-5 to 0.3.
    """
    p_sat, e, q0, t, n = np.broadcast_arrays(
        *(np.asarray(x, float) for x in (saturation_pressure, energy, limit, temperature, exponent))
    )
    if not np.all(n > 1.0):
        raise ValueError(
            "the exponent of Dubinin–Astakhov must be above one: below, no Henry limit is reached"
        )
    ratio = e / (GAS_CONSTANT * t)
    with np.errstate(over="ignore"):
        onset = np.minimum((ratio / n) ** (1.0 / (n - 1.0)), 700.0 ** (1.0 / n))  # A_h/E
    deepest = np.minimum(onset, _LOWEST ** (1.0 / n))
    whole, tail, inverse = _gamma_tail(n)
    scale = q0 * ratio * whole
    beyond = q0 * np.exp(-(onset**n)) - scale * tail(onset)
    first, last = np.log(scale * tail(deepest) + beyond), np.log(scale + beyond)
    where = _Nodes.between(
        first, last, crowding=_CROWDING * np.exp(last) / q0, nodes=nodes, cusp=(n != np.rint(n))
    )
    psi = np.exp(where.s)
    reduced = np.clip(inverse(np.clip((psi - beyond) / scale, 0.0, 1.0)), 0.0, deepest)  # A/E
    reduced[0], reduced[-1] = deepest, 0.0
    steep = psi / (q0 * np.exp(-(reduced**n)))  # dL/ds, once the step below is taken
    reduced = np.clip(
        reduced + (np.log(scale * tail(reduced) + beyond) - where.s) * steep / ratio, 0.0, deepest
    )
    growth = n * reduced ** (n - 1.0) / ratio  # d ln q/d ln p
    return where.table(
        np.log(p_sat) - ratio * reduced, slope=psi / (q0 * np.exp(-(reduced**n))), growth=growth
    )


def _gamma_tail(n: Array) -> tuple[Array, Callable[[Array], Array], Callable[[Array], Array]]:
    """∫_0^∞ exp(−x^n) dx, the share of it beyond x, and the x beyond which a share lies."""
    from scipy.special import erfc, erfcinv, gamma, gammaincc, gammainccinv

    if np.all(n == 2.0):  # the same, thirty times faster
        return np.full(n.shape, 0.5 * np.sqrt(np.pi)), erfc, erfcinv
    return (
        gamma(1.0 / n) / n,
        lambda x: np.asarray(gammaincc(1.0 / n, x**n)),
        lambda share: np.asarray(gammainccinv(1.0 / n, share) ** (1.0 / n)),
    )


def from_loading(
    loading: Callable[[Array], Array],
    *,
    log_low: ArrayLike,
    log_high: ArrayLike,
    slope: Callable[[Array], Array] | None = None,
    cusp: bool = False,
    nodes: int = NODES,
    panels: int = 96,
) -> Tables:
    """From any growing law q(ln p): Henry's law below `log_low`, constant loading above `log_high`.

    Parameters
    ----------
    loading : callable
        Loading [mol/kg] at ln p, p in Pa: takes and gives arrays of shape (m, …), … that of `log_low`.
    log_low : array_like, shape (…)
        ln of the pressure [Pa] below which loading is taken as proportional to pressure.
    log_high : array_like, shape (…)
        ln of the pressure [Pa] above which loading is taken as constant: saturation.
    slope : callable
        d ln q/d ln p, likewise [–]; absent: five-point differences inside the range.
    cusp : bool
        Whether nodes crowd towards `log_high`, as a power of ln(p_sat/p) that is not whole needs.
    nodes, panels : int
        Nodes of the table; panels of the quadrature, eight Gauss–Legendre points each [–].

    Notes
    -----
    Smooth laws only between the ends: put a bend at an end. A law that is not yet Henry's at `log_low` loses there
    what its curve would add to ψ below; choose it low.
    """
    low, high = (
        np.array(x) for x in np.broadcast_arrays(np.asarray(log_low, float), np.asarray(log_high, float))
    )
    width = (high - low) / panels
    points, weights = (part.reshape(-1, *([1] * (low.ndim + 1))) for part in _GAUSS)

    def integral(left: Array, right: Array) -> Array:
        """∫ q d ln p of each row."""
        x = 0.5 * (left + right) + 0.5 * (right - left) * points
        q = loading(x.reshape(-1, *low.shape)).reshape(x.shape)
        return np.asarray((weights * q).sum(0) * 0.5 * (right - left))

    edges = low + width * np.arange(panels + 1).reshape(-1, *([1] * low.ndim))
    pieces = integral(edges[:-1], edges[1:])
    total = loading(edges[:1]) + np.concatenate([np.zeros((1, *low.shape)), np.cumsum(pieces, axis=0)])

    def curve(x: Array) -> tuple[Array, Array]:
        panel = np.clip(((x - low) / width).astype(np.intp), 0, panels - 1)
        psi = np.take_along_axis(total, panel, 0) + integral(np.take_along_axis(edges, panel, 0), x)
        return np.log(psi), loading(x) / psi

    known = np.log(total)
    crowding = _CROWDING * total[-1] / loading(high[None])[0]
    where = _Nodes.between(known[0], known[-1], crowding=crowding, nodes=nodes, cusp=cusp)
    s = where.s
    columns = zip(*(a.reshape(len(a), -1).T for a in (s, known, edges)), strict=True)
    guess = np.stack([np.interp(*column) for column in columns], axis=-1).reshape(s.shape)
    x = _invert(s, low, high, curve, guess)
    x[0], x[-1] = low, high
    growth = slope(x) if slope is not None else _differences(loading, x, low, high)
    return where.table(x, slope=np.exp(s) / loading(x), growth=growth)


def _differences(loading: Callable[[Array], Array], x: Array, low: Array, high: Array) -> Array:
    """d ln q/d ln p from a quartic through five points that never leave the range."""
    d = np.minimum(0.01, (high - low) / 8.0)
    middle = np.clip(x, low + 2.0 * d, high - 2.0 * d)
    u = (x - middle) / d
    f2, f1, g, h1, h2 = (np.log(loading(middle + j * d)) for j in (-2, -1, 0, 1, 2))
    a1 = (f2 - 8 * f1 + 8 * h1 - h2) / 12
    a2 = (-f2 + 16 * f1 - 30 * g + 16 * h1 - h2) / 24
    a3 = (-f2 + 2 * f1 - 2 * h1 + h2) / 12
    a4 = (f2 - 4 * f1 + 6 * g - 4 * h1 + h2) / 24
    return np.asarray((a1 + u * (2 * a2 + u * (3 * a3 + u * 4 * a4))) / d)
