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

__all__ = ["breakthrough_time", "fed_at", "outlet_fraction", "passed", "wheeler_jonas_time"]

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

    Validity: a favourable isotherm (rectangular limit), constant temperature, gas hold-up neglected. A
    vapour held in proportion to its concentration (Henry) spreads more, and appears earlier than this says.
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
    *, fraction: ArrayLike, inlet: ArrayLike, flow: ArrayLike, capacity: ArrayLike, units: ArrayLike
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
    """
    return np.asarray(
        fed_at(fraction=fraction, capacity=capacity, units=units)
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
