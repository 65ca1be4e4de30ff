"""The air inside a cabinet: fan running, fan stopped, and how near it is to flammable.

V dc/dt = q (c_in − c) + S (1 − c/c_sat): the release S slows down as the air nears saturation, and stops
there.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.media.draws import sample
from stillroom.media.model import Interval
from stillroom.sources import Missing, Sourced

__all__ = ["LEAKAGE", "air", "air_after", "air_stopped", "flammable_fraction", "mixture_lower_limit"]

Array = NDArray[np.float64]

LEAKAGE = Interval(
    0.1,
    0.5,
    2.5,
    "from-memory",
    "air changes per hour of a closed cabinet whose fan stands still: door gaps and ports, from memory",
)


def _exchange(release: ArrayLike, flow: ArrayLike, saturation: ArrayLike) -> Array:
    """q + S/c_sat [m³/s]: what carries the concentration to its end."""
    with np.errstate(divide="ignore", invalid="ignore"):
        pull = np.asarray(release, float) / np.asarray(saturation, float)
    return np.asarray(np.asarray(flow, float) + np.where(np.asarray(release) == 0.0, 0.0, pull))


def air(
    release: ArrayLike, *, flow: ArrayLike, inlet: ArrayLike = 0.0, saturation: ArrayLike = np.inf
) -> Array:
    """Steady concentration inside a well-mixed cabinet [mol/m³].

    Parameters
    ----------
    release : array_like
        From the containers into clean air, S [mol/s].
    flow : array_like
        Air through the cabinet q [m³/s].
    inlet : array_like
        Concentration that the room's air brings [mol/m³].
    saturation : array_like
        Concentration at which the source stops [mol/m³]; infinite: a source that does not.

    Returns
    -------
    ndarray
        c = (q c_in + S)/(q + S/c_sat); with no flow, c_sat. With no flow and no release, the inlet.

    Validity
    --------
    A finite saturation where there may be no flow; else the answer is infinite.

    Notes
    -----
    Steady form of the balance at the head of this module.
    """
    flow, inlet = np.asarray(flow, float), np.asarray(inlet, float)
    exchange = _exchange(release, flow, saturation)
    fed = flow * inlet + np.asarray(release, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        level = fed / exchange
    return np.asarray(np.where((exchange == 0.0) & (fed == 0.0), inlet, level))


def air_after(
    time: ArrayLike,
    *,
    release: ArrayLike,
    volume: ArrayLike,
    flow: ArrayLike,
    inlet: ArrayLike = 0.0,
    initial: ArrayLike = 0.0,
    saturation: ArrayLike = np.inf,
) -> Array:
    """Concentration inside the cabinet at `time` [mol/m³].

    Parameters
    ----------
    time : array_like
        Since the release began, or since the fan stopped [s].
    release : array_like
        Into clean air, S [mol/s].
    volume : array_like
        Free air inside V [m³].
    flow : array_like
        Air through the cabinet q [m³/s]; zero is allowed.
    inlet : array_like
        Concentration that comes in [mol/m³].
    initial : array_like
        Concentration at time zero [mol/m³].
    saturation : array_like
        Concentration at which the source stops [mol/m³].

    Returns
    -------
    ndarray
        c(t) = c0 e^{−λt} + (q c_in + S)/V · (1 − e^{−λt})/λ, λ = (q + S/c_sat)/V; never above saturation
        where inlet and start are below it.

    Validity
    --------
    Times not negative. Well mixed: heavy vapours lie at the bottom, and the air there is richer than this
    mean.

    Notes
    -----
    Solution of the balance at the head of this module.
    """
    time, volume = np.asarray(time, float), np.asarray(volume, float)
    rate = _exchange(release, flow, saturation) / volume
    fed = (np.asarray(flow, float) * np.asarray(inlet, float) + np.asarray(release, float)) / volume
    product = rate * time
    small = product < 1e-9
    filled = np.where(small, time * (1.0 - 0.5 * product), -np.expm1(-product) / np.where(small, 1.0, rate))
    return np.asarray(np.asarray(initial, float) * np.exp(-product) + fed * filled)


def air_stopped(
    time: ArrayLike,
    *,
    release: ArrayLike,
    volume: float,
    saturation: ArrayLike,
    rng: np.random.Generator,
    size: int,
    initial: ArrayLike = 0.0,
    inlet: ArrayLike = 0.0,
) -> Array:
    """Concentration inside the cabinet `time` after its fan stopped, draws of the leakage included [mol/m³].

    Parameters
    ----------
    time : array_like
        Since the fan stopped; its last axis must broadcast with `size` [s].
    release : array_like
        Into clean air [mol/s], shape (…, size) or broadcasting with it.
    volume : float
        Free air inside [m³].
    saturation : array_like
        Concentration at which the source stops [mol/m³].
    rng : numpy.random.Generator
        Source of randomness.
    size : int
        Draws [-].
    initial : array_like
        Concentration when the fan stopped [mol/m³].
    inlet : array_like
        Concentration in the room [mol/m³].

    Validity
    --------
    As `air_after`; the leakage is `LEAKAGE`, from memory.

    Notes
    -----
    `air_after` with q = n V, n the air changes by leakage.
    """
    flow = sample(LEAKAGE, rng, size) / 3600.0 * volume
    return air_after(
        time, release=release, volume=volume, flow=flow, inlet=inlet, initial=initial, saturation=saturation
    )


def flammable_fraction(
    mole_fractions: Mapping[str, ArrayLike], lower_limits: Mapping[str, float | Sourced | Missing | None]
) -> Array | Missing:
    """How near a mixture in air is to its lower flammable limit: Σ x_i/L_i [-], 1 at the limit.

    Parameters
    ----------
    mole_fractions : mapping of CAS to array_like
        In the cabinet's air [mol/mol].
    lower_limits : mapping of CAS to float, Sourced or Missing
        Lower flammable limit [mol/mol]; ``math.inf`` for a vapour that is known not to burn.

    Returns
    -------
    ndarray or Missing
        The sum; `Missing` where a vapour that is there has no known limit: it could burn.

    Validity
    --------
    Vapours in air near room temperature. Mists and hybrid mixtures with dust are not covered.

    Notes
    -----
    Le Chatelier's rule; Crowl & Louvar, Eq. 6-2 [crowl-louvar]; ISO 10156:2017 for mixtures without inerts
    [iso-10156].

    Examples
    --------
    Crowl & Louvar (2nd ed.), ch. 6: hexane 0.8 %, methane 2.0 %, ethylene 0.5 % in air, limits 1.2, 5.3 and
    3.1 %: the mixture's limit is 2.75 % and 3.3 % is there, 1.2 times the limit.

    >>> x = {"110-54-3": 0.008, "74-82-8": 0.020, "74-85-1": 0.005}
    >>> limits = {"110-54-3": 0.012, "74-82-8": 0.053, "74-85-1": 0.031}
    >>> round(float(flammable_fraction(x, limits)), 1)
    1.2
    """
    total: Array = np.zeros(())
    for cas, fraction in mole_fractions.items():
        if not np.any(np.asarray(fraction, float) != 0.0):
            continue
        limit = lower_limits.get(cas)
        if limit is None or isinstance(limit, Missing):
            why = limit.reason if isinstance(limit, Missing) else "it is not in the list of limits"
            return Missing(f"the lower flammable limit of {cas} is not known: {why}")
        value = limit.value if isinstance(limit, Sourced) else float(limit)
        total = total + np.asarray(fraction, float) / value
    return total


def mixture_lower_limit(fractions: Mapping[str, float], lower_limits: Mapping[str, float]) -> float:
    """Lower flammable limit of a mixture of flammable vapours, 1/Σ(y_i/L_i) [mol/mol].

    Parameters
    ----------
    fractions : mapping of CAS to float
        Share of each vapour in the fuel, adding up to one [mol/mol].
    lower_limits : mapping of CAS to float
        [mol/mol]

    Validity
    --------
    No inert in the fuel.

    Notes
    -----
    Le Chatelier; ISO 10156:2017 [iso-10156].

    Examples
    --------
    ISO 10156:2017, example 1: 80 % methane, 20 % ethane, limits 4.4 and 2.4 %: 3.77 %.

    >>> round(mixture_lower_limit({"74-82-8": 0.8, "74-84-0": 0.2}, {"74-82-8": 0.044, "74-84-0": 0.024}), 4)
    0.0377
    """
    return 1.0 / sum(share / lower_limits[cas] for cas, share in fractions.items())
