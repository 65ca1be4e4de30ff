"""Wheeler–Jonas in the form of Bohart and Adams, which keeps its mass balance from the first second.

With N = k_v τ transfer units (τ = bed volume over flow), s the vapour fed and s* = W_e M what the bed holds
at equilibrium (the same unit), the outlet over the inlet is ::

    x = e^{Ns/s*} / (e^{Ns/s*} + e^N − 1)

Wheeler–Jonas is this with e^N ≫ 1. All functions work with the fed amount, so the inlet may change in time
and beds may stand in series: what one passes is what the next is fed.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = [
    "breakthrough_time",
    "fed_at",
    "filling_bed",
    "outlet_fraction",
    "passed",
    "spread_units",
    "wheeler_jonas_time",
]

Array = NDArray[np.float64]


def _expm1_log(units: Array) -> Array:
    """ln(e^N − 1), for N > 0."""
    return np.asarray(units + np.log(-np.expm1(-units)))


def outlet_fraction(*, fed: ArrayLike, capacity: ArrayLike, units: ArrayLike) -> Array:
    """Outlet over inlet concentration at the moment when `fed` has been fed (dimensionless).

    Parameters
    ----------
    fed, capacity : array_like
        Vapour fed so far, and held at equilibrium with the inlet, the same unit [mol].
    units : array_like
        Transfer units N = k_v τ [-].

    Notes
    -----
    [bohart-adams-1920]; [jonas-rehrmann-1973] for the Wheeler form. At the start x = e^{−N}: a bed shorter
    than its critical depth lets vapour through at once.

    Validity: a favourable isotherm (rectangular limit), constant temperature, gas hold-up neglected. For others
    `spread_units` gives the front its width, `filling_bed` its first traces.
    """
    n = np.maximum(np.asarray(units, float), 1e-12)
    progress = n * (np.asarray(fed, float) / np.asarray(capacity, float))
    with np.errstate(over="ignore"):
        return np.asarray(1.0 / (1.0 + np.exp(_expm1_log(n) - progress)))


def passed(*, fed: ArrayLike, capacity: ArrayLike, units: ArrayLike) -> Array:
    """Vapour that has left the bed when `fed` has been fed, in the unit of `fed` [mol].

    Parameters
    ----------
    fed, capacity : array_like
        Vapour fed so far, and held at equilibrium with the inlet, the same unit [mol].
    units : array_like
        Transfer units N [-].

    Notes
    -----
    The integral of `outlet_fraction`: (s*/N)·[ln(e^{Ns/s*} + e^N − 1) − N]; fed − passed tends to s* exactly.
    """
    n = np.maximum(np.asarray(units, float), 1e-12)
    scale = np.asarray(capacity, float) / n
    # ln(e^P + e^N − 1) − N = ln(1 + e^{P−N} − e^{−N}) ; for large P the exponential is taken out
    progress = np.asarray(fed, float) / scale
    early = np.log1p(np.exp(-n) * np.expm1(np.minimum(progress, n)))
    late = progress - n + np.log1p(-np.expm1(-n) * np.exp(-np.maximum(progress - n, 0.0)))
    return np.asarray(scale * np.where(progress <= n, early, late))


_ROOT = 1.65
"""fits the exact bed of a proportional isotherm, 36 film and 1.9 pore units, from a hundredth to a third full"""


def filling_bed(
    *, fed: ArrayLike, capacity: ArrayLike, fresh: ArrayLike, filling: ArrayLike, filled: ArrayLike = 0.0
) -> tuple[Array, Array]:
    """Outlet over inlet [-], and what has left, of a bed whose grains were fresh and fill, when `fed` has been fed.

    Parameters
    ----------
    fed, capacity : array_like
        Vapour fed so far, and held at equilibrium with the inlet, the same unit [mol].
    fresh : array_like
        Transfer units of the gas film alone N_f [-].
    filling : array_like
        Transfer units of film and grain together N_k, as correlations give them [-].
    filled : array_like
        Share of the grains that was used up before [-].

    Notes
    -----
    The first of a vapour is taken up by the outside of the grains: the way into them grows with the root of what
    they hold, as in any diffusion into a fresh body, until the linear driving force of Glueckauf [glueckauf-1955]
    is reached. 1/N = 1/N_f + g (1/N_k − 1/N_f), g² = 1 − exp(−(1.65)² θ), θ what the bed holds over what it can
    hold. Root and factor follow the exact bed with film and pore diffusion and a proportional isotherm
    [rosen-1952]; with a rectangular one (a core that shrinks) exact beds let less through. What has left is `passed`
    at that N; the outlet is its derivative, so the balance is kept.
    """
    total = np.asarray(capacity, float)
    n_fresh = np.maximum(np.asarray(fresh, float), 1e-12)
    n_filling = np.clip(np.asarray(filling, float), 1e-12, n_fresh)
    share = np.asarray(fed, float) / total
    before = np.clip(np.asarray(filled, float), 0.0, 1.0)
    rest = np.exp(-(_ROOT**2) * np.clip(before + (1.0 - before) * share, 0.0, 1e3))
    way = np.sqrt(1.0 - rest)
    more = 1.0 / n_filling - 1.0 / n_fresh
    n = 1.0 / (1.0 / n_fresh + way * more)
    progress = np.minimum(n * share, 700.0 + n)  # beyond, all is through
    tail = np.exp(-n)
    least = np.log1p(-tail)
    ahead = progress - n - least
    odds = np.exp(-np.abs(ahead))
    outlet = np.where(ahead > 0.0, 1.0, odds) / (1.0 + odds)
    gone = (least + np.maximum(ahead, 0.0) + np.log1p(odds)) / n
    # a difference of logarithms loses its digits where next to nothing has come
    gone = np.where(progress < 1e-3, outlet * share * (1.0 - 0.5 * progress * (1.0 - outlet)), gone)
    gone = np.where(progress < n * share, share - 1.0, gone)
    by_units = outlet * (share - 1.0) + (1.0 - outlet) * (tail / (1.0 - tail)) - gone
    growth = (0.5 * _ROOT**2) * rest / np.maximum(way, 1e-6) * (more * (1.0 - before))
    slower = np.maximum(-by_units * n * growth, 0.0)
    return np.minimum(outlet + slower, 1.0), np.maximum(gone, 0.0) * total


_PROPORTIONAL = 1.13
"""2/√π: gives e^N/(e^N + …) the slope of erfc(√N − √(N s/s*))/2 where half is through"""


def spread_units(units: ArrayLike, *, slope: ArrayLike) -> Array:
    """Transfer units with which the rectangular form has the width of a front on a curved isotherm (dimensionless).

    Parameters
    ----------
    units : array_like
        Transfer units of film and grain N [-].
    slope : array_like
        d ln q/d ln c of the isotherm at the inlet, 0 rectangular to 1 proportional [-].

    Notes
    -----
    N (1 − slope), because a less favourable isotherm widens a steady front by 1/(1 − R) [hiester-vermeulen-1952];
    not under 1.13 √N, the width to which a front on a proportional isotherm has spread [rosen-1952]; never over N.
    """
    n = np.maximum(np.asarray(units, float), 1e-12)
    steady = n * (1.0 - np.clip(np.asarray(slope, float), 0.0, 1.0))
    return np.asarray(np.minimum(n, np.maximum(steady, _PROPORTIONAL * np.sqrt(n))))


def fed_at(*, fraction: ArrayLike, capacity: ArrayLike, units: ArrayLike) -> Array:
    """Vapour fed when outlet over inlet reaches `fraction`, in the unit of `capacity` [mol]; 0 where at once.

    Parameters
    ----------
    fraction : array_like
        Outlet over inlet; ≤ 0 gives 0, ≥ 1 gives infinity [-].
    capacity : array_like
        Vapour held at equilibrium with the inlet [mol].
    units : array_like
        Transfer units N [-].
    """
    n = np.maximum(np.asarray(units, float), 1e-12)
    x = np.asarray(fraction, float)
    inside = np.clip(x, 1e-300, 1.0 - 1e-16)
    progress = _expm1_log(n) + np.log(inside / (1.0 - inside))
    fed = np.asarray(capacity, float) / n * np.maximum(progress, 0.0)
    return np.asarray(np.where(x >= 1.0, np.inf, fed))


def breakthrough_time(
    *,
    fraction: ArrayLike,
    inlet: ArrayLike,
    flow: ArrayLike,
    capacity: ArrayLike,
    units: ArrayLike,
    skew: ArrayLike = 1.0,
) -> Array:
    """Time at which the outlet of one bed reaches `fraction` of a constant inlet [s].

    Parameters
    ----------
    fraction : array_like
        Outlet over inlet [-].
    inlet : array_like
        [mol/m³].
    flow : array_like
        [m³/s].
    capacity : array_like
        Vapour held at equilibrium with the inlet [mol].
    units : array_like
        Transfer units N [-].
    skew : array_like
        Factor on them at this fraction, for a front that is not symmetric: `media.kinetics.wood_stampfer.skew` [-].
    """
    return np.asarray(
        fed_at(fraction=fraction, capacity=capacity, units=np.asarray(units, float) * skew)
        / (np.asarray(inlet, float) * np.asarray(flow, float))
    )


def wheeler_jonas_time(
    *,
    fraction: ArrayLike,
    inlet: ArrayLike,
    flow: ArrayLike,
    loading: ArrayLike,
    mass: ArrayLike,
    bulk_density: ArrayLike,
    rate_coefficient: ArrayLike,
) -> Array:
    """Breakthrough time as Wheeler and Jonas print it [s]; may come out negative below the critical depth.

    Parameters
    ----------
    fraction : array_like
        C_x/C_0 [-].
    inlet : array_like
        C_0 [g/m³].
    flow : array_like
        Q [m³/s].
    loading : array_like
        W_e [g/g].
    mass : array_like
        Mass of carbon [g].
    bulk_density : array_like
        [g/m³].
    rate_coefficient : array_like
        k_v [1/s].

    Notes
    -----
    t_b = W_e M/(C_0 Q) − W_e ρ_B/(k_v C_0)·ln((C_0 − C_x)/C_x), [jonas-rehrmann-1973].
    """
    we, c0, x = np.asarray(loading, float), np.asarray(inlet, float), np.asarray(fraction, float)
    stoichiometric = we * np.asarray(mass, float) / (c0 * np.asarray(flow, float))
    zone = we * np.asarray(bulk_density, float) / (np.asarray(rate_coefficient, float) * c0)
    return np.asarray(stoichiometric - zone * np.log((1.0 - x) / x))
