"""Do the readings fit what was assessed, and if they do not, what explains them best?

Each cause changes what the instruments would show, from one of the visits on, by an amount that is drawn anew for
each draw. Its evidence is the mean likelihood. Whether the causes together beat "as assessed" is judged against
readings simulated from the assessment itself, so that the rate of false alarms is known beforehand [box-1980].
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillroom.monitoring.expected import Expectation, Nuisance, error_of, simulate
from stillroom.monitoring.measurement import log_below, on_scale
from stillroom.monitoring.posterior import log_mean_exp
from stillroom.monitoring.readings import Reading

__all__ = ["CAUSES", "FALSE_ALARMS", "Cause", "Explained", "Fit", "explain", "log_likelihood", "on_scales"]

Array = NDArray[np.float64]

FALSE_ALARMS = 0.05
"""Share of sound cabinets that are called inconsistent [-]."""
LEAST_ODDS = 3.0
"""The causes together must beat "as assessed" by this factor besides [-] (“positive” evidence, [kass-raftery-1995])."""


@dataclass(frozen=True, slots=True)
class Cause:
    """Why readings may not fit: its weight beforehand [-] (assumption, no source) and what to look at."""

    key: str
    weight: float
    words: str


CAUSES: dict[str, Cause] = {
    cause.key: cause
    for cause in (
        Cause("by-pass", 0.25, "By-pass: look at the seal of the filter and its seat; read all round the seal."),
        Cause("leak", 0.20, "A leaking container or a spill: open no bottle, look for a loose cap and liquid in a tray."),
        Cause("inventory", 0.15, "The contents are not those assessed: compare every container with the list."),
        Cause("spent", 0.15, "Less carbon at work than stated: weigh the bed, look for channels, damp and the date of its change."),
        Cause("room", 0.10, "A source in the room: read the room far from the cabinet, look for open work and cleaning."),
        Cause("drift", 0.10, "The instrument has drifted: calibrate it, zero it in clean air and read again."),
        Cause("other", 0.05, "None of the usual causes fits: repeat all readings with a second instrument."),
    )
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Explained:
    """One cause with its probability given that something is wrong [-]."""

    cause: Cause
    probability: float


@dataclass(frozen=True, slots=True)
class Fit:
    """Whether readings fit the assessment."""

    consistent: bool
    odds: float
    """evidence of the causes together over "as assessed" [-]"""
    share: float | None
    """of simulated sound readings that look as odd or odder [-]; None where the odds alone say that they fit"""
    causes: tuple[Explained, ...]
    """most probable first; empty where the readings fit"""


def on_scales(shown: Array, readings: Sequence[Reading]) -> tuple[Array, Array]:
    """What would be shown, on the scale of its error, and the log-probability of "below", (n_r, copies, size) [-].

    Parameters
    ----------
    shown : ndarray, shape (n_r, copies, size)
        [ppm].
    readings : sequence of Reading
    """
    scaled, below = np.empty_like(shown), np.empty_like(shown)
    for j, reading in enumerate(readings):
        relative, additive = error_of(reading)
        scaled[j] = on_scale(shown[j], relative=relative, additive=additive)
        below[j] = log_below(reading.limit_ppm, shown[j], relative=relative, additive=additive)
    return scaled, below


def log_likelihood(
    values: Sequence[float | None], scaled: Array, below: Array, readings: Sequence[Reading]
) -> Array:
    """Of all readings together, (copies, size) [-].

    Parameters
    ----------
    values : sequence of float or None
        Read [ppm]; None and less than the limit count as "below".
    scaled, below : ndarray, shape (n_r, copies, size)
        From `on_scales` [-].
    readings : sequence of Reading
        Their errors and limits.
    """
    total = np.zeros(scaled.shape[1:])
    for j, (value, reading) in enumerate(zip(values, readings, strict=True)):
        if value is None or value < reading.limit_ppm:
            total += below[j]
        else:
            relative, additive = error_of(reading)
            read = on_scale(value, relative=relative, additive=additive)
            total += -0.5 * (read - scaled[j]) ** 2 - 0.5 * np.log(2.0 * np.pi)
    return total


def explain(
    readings: Sequence[Reading],
    expectation: Expectation,
    nuisance: Nuisance,
    *,
    rng: np.random.Generator,
    repeats: int = 199,
) -> Fit:
    """Whether the readings fit what was assessed, and the causes that explain them, most probable first.

    Parameters
    ----------
    readings : sequence of Reading
    expectation : Expectation
    nuisance : Nuisance
    rng : numpy.random.Generator
    repeats : int
        Sets of readings simulated from the assessment [-].
    """
    base = nuisance.shown(expectation.total)
    sound = on_scales(base, readings)
    begun = _begun(readings, rng, base.shape[2])
    faulty = {}
    for key, change in _CHANGES.items():
        changed = change(readings, expectation, nuisance, rng)
        faulty[key] = on_scales(np.where(begun, changed, base), readings)
    values = [None if reading.below else reading.value_ppm for reading in readings]
    evidence = {key: _evidence(values, scales, readings) for key, scales in faulty.items()}
    odds = _odds(evidence, _evidence(values, sound, readings))
    if odds < LEAST_ODDS:
        return Fit(True, odds, None, ())
    as_odd = 0
    for _ in range(repeats):
        copy, draw = (int(rng.integers(n)) for n in base.shape[1:])
        again: list[float | None] = [
            float(simulate(sound[0][j, copy, draw], reading, rng)) for j, reading in enumerate(readings)
        ]
        likely = log_likelihood(again, *sound, readings)
        likely[:, draw] = -np.inf  # the draw that made them is no witness of itself
        others = {key: _evidence(again, scales, readings) for key, scales in faulty.items()}
        as_odd += _odds(others, float(log_mean_exp(likely))) >= odds
    share = (1 + as_odd) / (1 + repeats)
    if share > FALSE_ALARMS:
        return Fit(True, odds, share, ())
    return Fit(False, odds, share, _ranked(evidence))


def _evidence(
    values: Sequence[float | None], scales: tuple[Array, Array], readings: Sequence[Reading]
) -> float:
    return float(log_mean_exp(log_likelihood(values, *scales, readings)))


def _odds(evidence: dict[str, float], sound: float) -> float:
    with np.errstate(divide="ignore"):
        joint = np.array([np.log(CAUSES[key].weight) + value for key, value in evidence.items()])
    top = joint.max()
    whole = float(top + np.log(np.exp(joint - top).sum())) if np.isfinite(top) else -np.inf
    return float(np.exp(np.clip(whole - max(sound, -1e6), -700.0, 700.0)))


def _ranked(evidence: dict[str, float]) -> tuple[Explained, ...]:
    joint = np.array([np.log(CAUSES[key].weight) + value for key, value in evidence.items()])
    share = np.exp(joint - joint.max())
    share /= share.sum()
    found = [Explained(CAUSES[key], float(part)) for key, part in zip(evidence, share, strict=True)]
    return tuple(sorted(found, key=lambda item: -item.probability))


def _begun(readings: Sequence[Reading], rng: np.random.Generator, size: int) -> NDArray[np.bool_]:
    """Whether the cause was at work when each reading was taken: from one of the visits on, (n_r, 1, size)."""
    days = sorted({reading.on for reading in readings})
    first = rng.integers(len(days), size=size)
    number = np.array([days.index(reading.on) for reading in readings])
    return np.asarray(number[:, None, None] >= first[None, None, :])


# One function a cause: what the instruments would show, (n_r, copies, size) [ppm].


def _bypass(_: Sequence[Reading], given: Expectation, nuisance: Nuisance, __: np.random.Generator) -> Array:
    return nuisance.shown(given.bypassed)


def _spent(_: Sequence[Reading], given: Expectation, nuisance: Nuisance, __: np.random.Generator) -> Array:
    return nuisance.shown(given.spent)


def _leak(_: Sequence[Reading], given: Expectation, nuisance: Nuisance, rng: np.random.Generator) -> Array:
    """One stored vapour comes out 3 to 300 times as fast."""
    size = given.total.shape[2]
    stored = np.flatnonzero(given.stored.max(axis=(0, 2)) > 0.0)
    if not stored.size:
        return nuisance.shown(given.total)
    which = rng.choice(stored, size=size)
    more = np.zeros((len(given.cas), size))
    more[which, np.arange(size)] = _log_uniform(rng, 3.0, 300.0, size) - 1.0
    return nuisance.shown(given.total + given.stored * more)


def _inventory(
    readings: Sequence[Reading], given: Expectation, nuisance: Nuisance, rng: np.random.Generator
) -> Array:
    """A thirtieth to half of what was said to be stored; or, as often, a vapour that no list names."""
    size = given.total.shape[2]
    unnamed = rng.random(size) < 0.5
    less = np.where(unnamed, 1.0, _log_uniform(rng, 1.0 / 30.0, 0.5, size))
    between, exhaust = _held_back(rng, size)
    at = {
        "cabinet": np.ones(size),
        "between beds": between,
        "exhaust": exhaust,
        "room": exhaust * given.returned,
    }
    level = np.where(unnamed, _level(readings, given, nuisance, rng, size, at="cabinet"), 0.0)
    extra = np.array([level * at[reading.point] for reading in readings])[:, None, :]
    return nuisance.shown(given.total + given.stored * (less - 1.0), extra)


def _room(
    readings: Sequence[Reading], given: Expectation, nuisance: Nuisance, rng: np.random.Generator
) -> Array:
    """A vapour of the room that nobody named."""
    size = given.total.shape[2]
    between, exhaust = _held_back(rng, size)
    at = {"cabinet": np.ones(size), "between beds": between, "exhaust": exhaust, "room": np.ones(size)}
    level = _level(readings, given, nuisance, rng, size, at="room")
    return nuisance.shown(
        given.total, np.array([level * at[reading.point] for reading in readings])[:, None, :]
    )


def _drift(
    readings: Sequence[Reading], given: Expectation, nuisance: Nuisance, rng: np.random.Generator
) -> Array:
    """One instrument shows two to ten times too much or too little, or its zero has moved."""
    size = given.total.shape[2]
    names = sorted({reading.instrument.key for reading in readings})
    which = rng.integers(len(names), size=size)
    gain = _log_uniform(rng, 2.0, 10.0, size) ** rng.choice([-1.0, 1.0], size=size)
    moved = rng.random(size) < 0.5
    offset = _log_uniform(rng, 1.0, 30.0, size)
    shown = nuisance.shown(given.total)
    for j, reading in enumerate(readings):
        mine = which == names.index(reading.instrument.key)
        shown[j] = np.where(mine & ~moved, shown[j] * gain, shown[j])
        shown[j] = np.where(mine & moved, shown[j] + offset * reading.limit_ppm, shown[j])
    return shown


def _other(_: Sequence[Reading], given: Expectation, nuisance: Nuisance, rng: np.random.Generator) -> Array:
    """Each reading off by a factor of its own, 90 % within a factor of twelve."""
    shown = nuisance.shown(given.total)
    return np.asarray(shown * np.exp(1.5 * rng.standard_normal(shown.shape)))


_CHANGES: dict[str, Callable[[Sequence[Reading], Expectation, Nuisance, np.random.Generator], Array]] = {
    "by-pass": _bypass,
    "leak": _leak,
    "inventory": _inventory,
    "spent": _spent,
    "room": _room,
    "drift": _drift,
    "other": _other,
}


def _log_uniform(rng: np.random.Generator, low: float, high: float, size: int) -> Array:
    return np.asarray(np.exp(rng.uniform(np.log(low), np.log(high), size)))


def _held_back(rng: np.random.Generator, size: int) -> tuple[Array, Array]:
    """Share of an unnamed vapour that passes the first bed, and all of them: anything from 0.01 % to all [-]."""
    between = _log_uniform(rng, 1e-4, 1.0, size)
    return between, between * _log_uniform(rng, 1e-2, 1.0, size)


def _level(
    readings: Sequence[Reading],
    given: Expectation,
    nuisance: Nuisance,
    rng: np.random.Generator,
    size: int,
    *,
    at: str,
) -> Array:
    """An unnamed vapour's level: 1 to 100 times what is expected at `at`, or can be seen at all, (size,) [ppm]."""
    usual = nuisance.shown(given.total)
    least = [reading.limit_ppm for reading in readings]
    there = [float(np.median(usual[j])) for j, reading in enumerate(readings) if reading.point == at]
    return max([min(least), *there]) * _log_uniform(rng, 1.0, 100.0, size)
