"""Readings set against what was assessed: a band and a verdict for each, the weights of the draws, the remaining life."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from stillroom.media.order_statistics import rank_below
from stillroom.monitoring.causes import Fit, explain, log_likelihood, on_scales
from stillroom.monitoring.expected import Expectation, Nuisance, draw_nuisance, simulate
from stillroom.monitoring.posterior import (
    effective_size,
    log_mean_exp,
    temper,
    weighted_quantile,
    weights,
)
from stillroom.monitoring.readings import Reading
from stillroom.units import show

__all__ = ["LEAST_DRAWS", "Band", "Judged", "Judgement", "cautious", "interval", "judge", "weigh_draws"]

Array = NDArray[np.float64]
Agreement = Literal["inside", "outside", "cannot tell"]

LEAST_DRAWS = 100
"""Effective draws that 5 and 95 % are read from [draws]; with fewer the readings are given less weight."""
_CAUTIOUS = 0.05
_COPIES = 8
"""Of the response factors and calibration errors, for each draw."""


@dataclass(frozen=True, slots=True)
class Band:
    """5, 50 and 95 % of a number [ppm], or of a life [days]."""

    p05: float
    p50: float
    p95: float


@dataclass(frozen=True, slots=True)
class Judged:
    """One reading, the band of what it should show [ppm], and whether it lies in it."""

    reading: Reading
    expected: Band
    verdict: Agreement
    words: str


@dataclass(frozen=True, slots=True, eq=False)
class Judgement:
    """The answer to all readings together."""

    readings: tuple[Judged, ...]
    weights: Array
    """(size,), summing to one"""
    exponent: float
    """1 where the readings count in full; less where too few draws agree"""
    effective: float
    """effective draws with the readings in full"""
    fit: Fit


def interval(values: Array, weight: Array) -> Band:
    """5, 50 and 95 % of weighted draws, in the unit of `values`.

    Parameters
    ----------
    values : ndarray, shape (size,)
        [any]
    weight : ndarray, shape (size,)
        [-]
    """
    low, middle, high = (weighted_quantile(values, weight, share) for share in (0.05, 0.5, 0.95))
    return Band(low, middle, high)


def cautious(values: Array, weight: Array) -> float:
    """Lower 95 % confidence bound of the 5 % point of weighted draws, in the unit of `values`.

    Parameters
    ----------
    values : ndarray, shape (size,)
        [any]
    weight : ndarray, shape (size,)
        [-]

    Notes
    -----
    The share F of the weight at or under the point has the variance Σw²(1[x ≤ point] − F)²/(Σw)² (delta method), as of
    F(1 − F)/variance equal draws: few where heavy draws make the tail. The bound lies at the share that its order
    statistic has among those: with equal weights it is the bound of the assessment itself (docs/decisions/0029). Where
    they prove nothing, the smallest draw that has a weight.

    Examples
    --------
    >>> import numpy as np
    >>> cautious(np.arange(1000.0), np.ones(1000))
    38.0
    """
    ordered = np.asarray(weight, float)[np.argsort(values, kind="stable")]
    reached = np.cumsum(ordered)
    # of equal draws, as at the age clock, some lie under the point and some do not
    under = reached - ordered < _CAUTIOUS * reached[-1] * (1.0 - 1e-12)
    spread = ((ordered * (under - _CAUTIOUS)) ** 2).sum()
    size = int(_CAUTIOUS * (1.0 - _CAUTIOUS) * ordered.sum() ** 2 / spread + 1e-6)
    share = rank_below(size, _CAUTIOUS) / size if size else 0.0
    return weighted_quantile(values, weight, max(share, np.finfo(float).tiny))


def weigh_draws(
    readings: Sequence[Reading], cas: Sequence[str], air: Array, *, seed: int
) -> tuple[Array, float, float]:
    """Weights (size,) [-], the exponent that the likelihood was given [-], and the effective draws in full.

    Parameters
    ----------
    readings : sequence of Reading
    cas : sequence of str
        Vapours in the order of `air`.
    air : ndarray, shape (n_r, n_v, size)
        At the place and time of each reading [ppm].
    seed : int
        [-]

    Notes
    -----
    What the readings share (response factors, gains, lasting discrepancies) is averaged over its copies.
    """
    rng = np.random.default_rng([seed, 37])
    return _weigh(readings, draw_nuisance(readings, cas, rng=rng, size=air.shape[2], copies=_COPIES), air)


def _weigh(readings: Sequence[Reading], nuisance: Nuisance, air: Array) -> tuple[Array, float, float]:
    values = [None if reading.below else reading.value_ppm for reading in readings]
    scales = on_scales(nuisance.shown(air), readings)
    logs = log_mean_exp(log_likelihood(values, *scales, readings), axis=0)
    exponent = temper(logs, least=min(LEAST_DRAWS, logs.size / 2))
    return weights(logs, exponent=exponent), exponent, effective_size(weights(logs))


def judge(
    readings: Sequence[Reading],
    expectation: Expectation,
    *,
    seed: int,
    missing: Sequence[str] = (),
    repeats: int = 199,
) -> Judgement:
    """Set readings against what was assessed.

    Parameters
    ----------
    readings : sequence of Reading
        At least one.
    expectation : Expectation
        At the place and time of each of them.
    seed : int
        The same seed gives the same answer [-].
    missing : sequence of str
        What is stored and of which it cannot be told what evaporates.
    repeats : int
        Sets of readings simulated to judge how odd these are [-].
    """
    rng = np.random.default_rng([seed, 29])
    size = expectation.total.shape[2]
    nuisance = draw_nuisance(readings, expectation.cas, rng=rng, size=size, copies=_COPIES)
    scaled = on_scales(nuisance.shown(expectation.total), readings)[0]
    judged = tuple(
        _judged(reading, simulate(scaled[j], reading, rng), nuisance, missing)
        for j, reading in enumerate(readings)
    )
    weight, exponent, effective = _weigh(readings, nuisance, expectation.total)
    fit = explain(readings, expectation, nuisance, rng=rng, repeats=repeats)
    return Judgement(judged, weight, exponent, effective, fit)


def _judged(reading: Reading, shown: Array, nuisance: Nuisance, missing: Sequence[str]) -> Judged:
    low, middle, high = (max(0.0, float(np.quantile(shown, share))) for share in (0.05, 0.5, 0.95))
    band = Band(low, middle, high)
    if not nuisance.inverse[reading.instrument.key].any():
        return Judged(reading, band, "cannot tell", "This instrument sees none of the vapours here.")
    verdict, words = _verdict(reading, band)
    if missing and verdict == "outside" and not reading.below and (reading.value_ppm or 0.0) > high:
        words += f" What evaporates of {', '.join(missing)} is not known, and may be what it shows."
        return Judged(reading, band, "cannot tell", words)
    return Judged(reading, band, verdict, words)


def _verdict(reading: Reading, band: Band) -> tuple[Agreement, str]:
    limit = reading.limit_ppm
    between = f"{show(band.p05)} to {show(band.p95)} ppm expected"
    if reading.below:
        if band.p05 >= limit:
            return "outside", f"Under {show(limit)} ppm; {between}: lower than that."
        if band.p95 < limit:
            words = f"Under {show(limit)} ppm, as expected ({between}); the instrument does not reach so low, so this confirms little."
            return "cannot tell", words
        return "inside", f"Under {show(limit)} ppm; {between}."
    value = reading.value_ppm or 0.0
    said = f"{show(value)} ppm; {between}"
    if value > band.p95:
        return "outside", f"{said}: higher than that."
    if value < band.p05:
        return "outside", f"{said}: lower than that."
    return "inside", f"{said}."
