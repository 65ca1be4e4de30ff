"""Vapours adsorbed together, whatever the law of each: ideal adsorbed solution theory on tables, both ways.

All vapours of a mixture stand at one reduced spreading pressure ψ. Either way one number is sought, s = ln ψ::

    pressures → loadings    Σ p_i/p_i°(s) = 1     x_i = p_i/p_i°    q_i = x_i/Σ(x_j/q_j°)
    loadings → pressures    Σ q_i/q_i°(s) = 1     x_i = q_i/Σq_j    p_i = x_i p_i°

The kernels work at one point, allocate nothing, and can be called from other kernels; `loadings` and `pressures` run
them over arrays. This module compiles: import it where it is used, not where a room is opened.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.media.kernels import kernel
from stillroom.media.tables import Tables

__all__ = ["loadings", "loadings_at", "pressures", "pressures_at", "slopes_at"]

Array = NDArray[np.float64]

_SETTLED = 1e-7  # of s: Newton's last step, which leaves its square
_CLOSED = 1e-13  # of s: a bracket with nothing in it
_STEPS = 100
_SLOW = 5  # steps after which nearly full pores are taken as such
_LARGEST = 600.0  # of an exponent
_STIFFEST = 1e-12  # least share of d ln q/d ln ψ that slopes are divided by


@kernel
def _law(i: int, s: float, psi: float, grid: Array, values: Array) -> tuple[float, float, float]:
    """L = ln p° of vapour i with dL/ds and d²L/ds²."""
    first, last = grid[i, 3], grid[i, 4]
    if s < first:
        part = (grid[i, 5] - 1.0) * math.exp(s - first)
        return values[i, 0, 0] + (s - first) + part - (grid[i, 5] - 1.0), 1.0 + part, part
    end = values.shape[1] - 1
    if s > last:
        part = grid[i, 6] * math.exp(s - last)
        return values[i, end, 0] + part - grid[i, 6], part, part
    bent = grid[i, 2] * psi
    u, rise, turn = s + bent, 1.0 + bent, bent
    if grid[i, 7] > 0.0:
        near = psi / (grid[i, 8] - psi)
        u += grid[i, 7] * math.log1p(near)
        rise += grid[i, 7] * near
        turn += grid[i, 7] * near * (1.0 + near)
    place = (u - grid[i, 0]) * grid[i, 1]
    k = min(max(int(place), 0), end - 1)
    t = place - k
    f, d, c = values[i, k, 0], values[i, k, 1], values[i, k, 2]
    e0 = values[i, k + 1, 0] - f - d - c
    e1 = values[i, k + 1, 1] - d - 2.0 * c
    e2 = values[i, k + 1, 2] - c
    k3, k4, k5 = 10.0 * e0 - 4.0 * e1 + e2, -15.0 * e0 + 7.0 * e1 - 2.0 * e2, 6.0 * e0 - 3.0 * e1 + e2
    level = f + t * (d + t * (c + t * (k3 + t * (k4 + t * k5))))
    along = (d + t * (2.0 * c + t * (3.0 * k3 + t * (4.0 * k4 + t * 5.0 * k5)))) * grid[i, 1]
    curved = (2.0 * c + t * (6.0 * k3 + t * (12.0 * k4 + t * 20.0 * k5))) * grid[i, 1] ** 2
    return level, along * rise, curved * rise * rise + along * turn


@kernel
def _alone(i: int, log_p: float, grid: Array, values: Array) -> float:
    """About the s at which vapour i alone has the pressure e^log_p: linear between nodes."""
    end = values.shape[1] - 1
    if log_p <= values[i, 0, 0]:
        return float(grid[i, 3] + log_p - values[i, 0, 0])
    if log_p >= values[i, end, 0]:
        return float(grid[i, 4] + math.log1p((log_p - values[i, end, 0]) / grid[i, 6]))
    low, high = 0, end
    while high - low > 1:
        middle = (low + high) // 2
        if values[i, middle, 0] <= log_p:
            low = middle
        else:
            high = middle
    share = (log_p - values[i, low, 0]) / (values[i, high, 0] - values[i, low, 0])
    return float(values[i, low, 3] + share * (values[i, high, 3] - values[i, low, 3]))


@kernel
def _beginning(log_p: Array, grid: Array, values: Array) -> float:
    """The largest s that one of the vapours would have alone; −inf where there is none."""
    s = -math.inf
    for i in range(log_p.shape[0]):
        if log_p[i] > -math.inf:
            s = max(s, _alone(i, log_p[i], grid, values))
    return s


@kernel
def loadings_at(p: Array, grid: Array, values: Array, guess: float, q: Array) -> float:
    """Loadings of one mixture from its pressures; gives s = ln ψ, −inf where there is no vapour.

    Parameters
    ----------
    p : float64, shape (vapours,)
        Partial pressures; zero or less is absent [Pa].
    grid, values : float64, shapes (vapours, 9) and (vapours, nodes, 4)
        One draw of `Tables.grid` and `Tables.values`, in any memory layout [–].
    guess : float64
        s to begin with, of a neighbour; nan or infinite: none [–].
    q : float64, shape (vapours,)
        Written: loadings [mol/kg]. Another array than `p`.

    Notes
    -----
    ln Σ p_i/p_i° falls with ψ and is convex in ψ (d ln p°/dψ = 1/q°, and q° grows), so that a tangent in ψ never
    passes the root. Steps are Newton's in s, exact where Henry's law holds; one that passes a point known to lie
    beyond the root is replaced by the tangent's.
    """
    n = p.shape[0]
    for i in range(n):
        q[i] = math.log(p[i]) if p[i] > 0.0 else -math.inf
    s = guess
    if not math.isfinite(s):
        s = _beginning(q, grid, values)
        if s == -math.inf:
            q[:] = 0.0
            return s
    low, high = -math.inf, math.inf
    for _ in range(_STEPS):
        psi = math.exp(s)
        total, rise = 0.0, 0.0
        for i in range(n):
            if q[i] > -math.inf:
                level, slope, _bend = _law(i, s, psi, grid, values)
                share = math.exp(min(q[i] - level, _LARGEST))
                total += share
                rise += share * slope
        if total < 1e-200:  # far beyond the root, or nothing there
            high = s
            s = _beginning(q, grid, values) if low == -math.inf else 0.5 * (low + high)
            if s == -math.inf:
                break
            low = min(s, high) - 1.0 if low == -math.inf else low
            continue
        excess = math.log(total)
        step = excess * total / rise
        if abs(step) <= _SETTLED:
            s += step
            break
        if step > 0.0:
            low = max(low, s)
            s = s + step if s + step < high else s + math.log1p(step)
        else:
            high = min(high, s)
            s = s + step if s + step > low else 0.5 * (low + s)
    if s == -math.inf:
        q[:] = 0.0
        return s
    psi, rise = math.exp(s), 0.0
    for i in range(n):
        if q[i] > -math.inf:
            level, slope, _bend = _law(i, s, psi, grid, values)
            q[i] = math.exp(min(q[i] - level, _LARGEST))
            rise += q[i] * slope
        else:
            q[i] = 0.0
    for i in range(n):
        q[i] *= psi / rise
    return s


@kernel
def _filling(q: Array, grid: Array, values: Array, s: float) -> tuple[float, float]:
    """ln Σ q_i/q_i° and how fast it falls with s."""
    psi = math.exp(s)
    total, bend = 0.0, 0.0
    for i in range(q.shape[0]):
        if q[i] > 0.0:
            _level, slope, curved = _law(i, s, psi, grid, values)
            total += q[i] * slope
            bend += q[i] * curved
    return math.log(total) - s, 1.0 - bend / total


@kernel
def _spreading(q: Array, grid: Array, values: Array, guess: float) -> tuple[float, float]:
    """s where Σ q_i/q_i° = 1, and how fast its logarithm falls there; where nothing fits, the highest s and 0."""
    amount, cap = 0.0, -math.inf
    for i in range(q.shape[0]):
        if q[i] > 0.0:
            amount += q[i]
            cap = max(cap, grid[i, 4])
    if amount == 0.0:
        return -math.inf, 1.0
    low, high = -math.inf, cap
    s = math.log(amount)  # q° = ψ: Henry; below all but S-shaped laws' roots
    s = guess if s - 0.5 < guess < cap else min(s, cap)
    at_cap = math.nan
    fall = 1.0
    for count in range(_STEPS):
        excess, fall = _filling(q, grid, values, s)
        if s >= cap and excess >= 0.0:
            return cap, 0.0
        step = excess / max(fall, 1e-300)
        if abs(step) <= _SETTLED * fall:
            return min(s + step, cap), fall
        if abs(excess) <= 4e-16 or high - low <= _CLOSED:
            break
        if excess > 0.0:
            low = max(low, s)
        else:
            high = min(high, s)
        if count >= _SLOW:
            if math.isnan(at_cap):
                at_cap, _fall = _filling(q, grid, values, cap)
                if at_cap >= 0.0:
                    return cap, 0.0
            room = excess - at_cap
            if room > 0.0 and at_cap > -1.0:
                step = math.log1p(max(math.log(room / -at_cap) * room / max(fall, 1e-300), -0.9))
        s = s + step
        if not low < s < high:
            if s >= cap and high == cap and math.isnan(at_cap):
                s = cap
            else:
                s = 0.5 * (low + high) if low > -math.inf else high - 2.0
    return s, fall


@kernel
def pressures_at(q: Array, grid: Array, values: Array, guess: float, p: Array) -> float:
    """Pressures in equilibrium with the loadings of one mixture; gives s = ln ψ, −inf where nothing is held.

    Parameters
    ----------
    q : float64, shape (vapours,)
        Loadings; zero or less is absent [mol/kg].
    grid, values : float64, shapes (vapours, 9) and (vapours, nodes, 4)
        One draw of `Tables.grid` and `Tables.values`, in any memory layout [–].
    guess : float64
        s to begin with, of a neighbour; nan or infinite: none [–].
    p : float64, shape (vapours,)
        Written: partial pressures [Pa]. Another array than `q`.

    Notes
    -----
    ln Σ q_i/q_i° falls with s; Newton's steps, kept below the highest saturation by halving. Where pores
    are nearly full, the logarithm of what is left to the highest saturation is made linear in ψ instead.

    Validity: loadings that no ψ can hold, Σ q_i/q_i°(ψ) > 1 even where every vapour present is at saturation, get
    that ψ, and x_i p_i° times that sum: continuous, and growing on with each vapour's own loading.
    """
    s, _fall = _spreading(q, grid, values, guess)
    if s == -math.inf:
        p[:] = 0.0
        return s
    psi = math.exp(s)
    amount, filling = 0.0, 0.0
    for i in range(q.shape[0]):
        p[i] = 0.0
        if q[i] > 0.0:
            level, slope, _bend = _law(i, s, psi, grid, values)
            amount += q[i]
            filling += q[i] * slope / psi
            p[i] = q[i] * math.exp(min(level, _LARGEST))
    for i in range(q.shape[0]):
        p[i] *= filling / amount
    return s


@kernel
def slopes_at(
    q: Array, grid: Array, values: Array, guess: float, p: Array, own: Array, push: Array, weight: Array
) -> float:
    """`pressures_at` with the Jacobian ∂p_i/∂q_j = own_i δ_ij + push_i·weight_j − p_i/Σq.

    Parameters
    ----------
    q : float64, shape (vapours,)
        Loadings; zero or less is absent [mol/kg].
    grid, values : float64, shapes (vapours, 9) and (vapours, nodes, 4)
        One draw of `Tables.grid` and `Tables.values`, in any memory layout [–].
    guess : float64
        s to begin with, of a neighbour; nan or infinite: none [–].
    p : float64, shape (vapours,)
        Written: partial pressures [Pa].
    own, push, weight : float64, shape (vapours,)
        Written: p_i°/Σq [Pa kg/mol]; p_i d ln p_i°/ds over the fall of ln Σ q_j/q_j° with s [Pa]; 1/q_j° [kg/mol].

    Notes
    -----
    A diagonal and two products: a step with it costs as much as the pressures (Sherman, Morrison & Woodbury), and
    ∂p_i/∂q_i = own_i + push_i·weight_i − p_i/Σq. Absent vapours have their slope in what is there. Where nothing
    is held, own is Henry's slope and the rest is nought. The fall is taken as 1e-12 at least; over-full pores, where
    ψ stays, have their own push.
    """
    s, fall = _spreading(q, grid, values, guess)
    amount = 0.0
    for i in range(q.shape[0]):
        amount += max(q[i], 0.0)
    none = s == -math.inf
    if none:
        s = math.inf
        for i in range(q.shape[0]):
            s = min(s, grid[i, 3] - 30.0)
        amount = math.exp(s)
    psi = math.exp(s)
    filling = 0.0
    for i in range(q.shape[0]):
        level, slope, _bend = _law(i, s, psi, grid, values)
        weight[i] = slope / psi
        filling += max(q[i], 0.0) * weight[i]
        own[i] = math.exp(min(level, _LARGEST)) / amount
        push[i] = slope / max(fall, _STIFFEST)
    if none:
        filling = 1.0
    for i in range(q.shape[0]):
        own[i] *= filling
        p[i] = max(q[i], 0.0) * own[i]
        push[i] = p[i] * push[i] if fall > 0.0 else p[i] / filling
    return -math.inf if none else s


@kernel
def _loadings(p: Array, grid: Array, values: Array, q: Array, s: Array) -> None:
    single, held = np.empty(p.shape[0]), np.empty(p.shape[0])
    for draw in range(p.shape[1]):
        of = min(draw, grid.shape[1] - 1)
        for point in range(p.shape[2]):
            single[:] = p[:, draw, point]
            s[draw, point] = loadings_at(single, grid[:, of], values[:, of], math.nan, held)
            q[:, draw, point] = held


@kernel
def _pressures(q: Array, grid: Array, values: Array, p: Array, s: Array) -> None:
    single, over = np.empty(q.shape[0]), np.empty(q.shape[0])
    for draw in range(q.shape[1]):
        of = min(draw, grid.shape[1] - 1)
        for point in range(q.shape[2]):
            single[:] = q[:, draw, point]
            s[draw, point] = pressures_at(single, grid[:, of], values[:, of], math.nan, over)
            p[:, draw, point] = over


def _whole(x: Array, tables: Tables) -> tuple[Array, tuple[int, ...]]:
    """As (vapours, draws, points), and the shape to give back."""
    vapours, draws = tables.grid.shape[:2]
    if x.ndim not in (1, 2, 3) or x.shape[0] != vapours:
        raise ValueError(f"shape {x.shape} does not begin with the {vapours} vapours of the tables")
    x3 = x.reshape(*x.shape, *([1] * (3 - x.ndim)))
    if x3.shape[1] != draws and 1 not in (x3.shape[1], draws):
        raise ValueError(f"shape {x.shape}: {x3.shape[1]} draws, the tables have {draws}")
    x3 = np.broadcast_to(x3, (vapours, max(draws, x3.shape[1]), x3.shape[2]))
    shape = (vapours,) if x.ndim == 1 and draws == 1 else x3.shape if x.ndim == 3 else x3.shape[:2]
    return x3, shape


def loadings(pressure: ArrayLike, tables: Tables) -> Array:
    """Loading of each vapour in mixtures [mol/kg], shaped as the pressures.

    Parameters
    ----------
    pressure : array_like, shape (vapours,), (vapours, draws) or (vapours, draws, points)
        Partial pressures; zero gives zero [Pa]. One draw, here or in the tables, serves all of the other.
    tables : Tables
        Of shape (vapours, draws).

    Notes
    -----
    Myers & Prausnitz (1965) [myers-prausnitz-1965].

    Validity: an ideal adsorbed phase; polar with non-polar vapours depart from it, water above all.
    """
    one = np.ascontiguousarray(pressure, dtype=float)
    if one.shape == tables.grid.shape[:1] and tables.grid.shape[1] == 1:  # without the cost of arrays
        held = np.empty(one.shape)
        loadings_at(one, tables.grid[:, 0], tables.values[:, 0], math.nan, held)
        return held
    p, shape = _whole(one, tables)
    q, s = np.empty(p.shape), np.empty(p.shape[1:])
    _loadings(p, tables.grid, tables.values, q, s)
    return q.reshape(shape)


def pressures(loading: ArrayLike, tables: Tables) -> Array:
    """Partial pressure of each vapour over what is held together [Pa], shaped as the loadings.

    Parameters
    ----------
    loading : array_like, shape (vapours,), (vapours, draws) or (vapours, draws, points)
        Loadings; zero gives zero [mol/kg]. One draw, here or in the tables, serves all of the other.
    tables : Tables
        Of shape (vapours, draws).

    Notes
    -----
    The inverse of `loadings` below saturation; over-full pores as in `pressures_at`.
    """
    one = np.ascontiguousarray(loading, dtype=float)
    if one.shape == tables.grid.shape[:1] and tables.grid.shape[1] == 1:  # without the cost of arrays
        over = np.empty(one.shape)
        pressures_at(one, tables.grid[:, 0], tables.values[:, 0], math.nan, over)
        return over
    q, shape = _whole(one, tables)
    p, s = np.empty(q.shape), np.empty(q.shape[1:])
    _pressures(q, tables.grid, tables.values, p, s)
    return p.reshape(shape)
