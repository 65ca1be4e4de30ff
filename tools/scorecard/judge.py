"""Predict what was left out, and set it against what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stillroom import media
from stillroom.media.fitting import Points, Posterior, answer, fit, prior
from stillroom.media.fitting.hierarchical import fit_radushkevich
from stillroom.media.fitting.predict import alone, curves
from tools.scorecard.data import Point, points_of

__all__ = ["Score", "left_out", "mixed", "plain", "split", "unmeasured"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Score:
    """Measured against predicted, point by point [g/g]."""

    carbon: str
    what: str
    measured: Array
    p05: Array
    p50: Array
    p95: Array
    pressure: Array
    temperature: Array

    @property
    def off(self) -> Array:
        """ln of measured over predicted."""
        return np.log(self.measured / self.p50)

    @property
    def inside(self) -> NDArray[np.bool_]:
        """Whether in the 90 % interval."""
        return (self.measured >= self.p05) & (self.measured <= self.p95)


def _score(carbon: str, what: str, asked: Points, loadings: Array) -> Score:
    p05, p50, p95 = np.quantile(loadings, [0.05, 0.5, 0.95], axis=1)
    return Score(carbon, what, asked.volume * asked.density, p05, p50, p95, asked.pressure, asked.temperature)


def _by_vapour(carbon: str, train: list[Point], asked: list[Point]) -> list[Score]:
    return _asked(carbon, fit(points_of(train)), asked)


def _asked(carbon: str, posteriors: tuple[Posterior, ...], asked: list[Point]) -> list[Score]:
    found = []
    for cas in dict.fromkeys(one.cas for one in asked):
        own = [one for one in asked if one.cas == cas]
        if len(own) >= 3:
            points = points_of(own)
            found.append(_score(carbon, own[0].name, points, alone(curves(posteriors, [cas])[cas], points)))
    return found


def left_out(carbon: str, rows: list[Point]) -> list[Score]:
    """Each vapour of a carbon from the others."""
    found = []
    for cas in dict.fromkeys(one.cas for one in rows):
        rest = [one for one in rows if one.cas != cas]
        if len(rest) >= 3:
            found += _by_vapour(carbon, rest, [one for one in rows if one.cas == cas])
    return found


def split(carbon: str, rows: list[Point], *, above: float = 30.0, below: float = 3.0) -> list[Score]:
    """Fitted above one pressure and asked below another [Pa]."""
    train = [one for one in rows if one.pressure > above]
    known = {one.cas for one in train}
    asked = [one for one in rows if one.pressure < below and one.cas in known]
    return _by_vapour(carbon, train, asked) if len(train) > 3 and asked else []


def plain(rows: list[Point], asked: list[Point]) -> Array:
    """ln of measured over predicted by Dubinin and Radushkevich's law alone, the same pooling: the peer."""
    posterior = fit_radushkevich(points_of(rows))
    points = points_of(asked)
    others = tuple(cas for cas in dict.fromkeys(points.cas) if cas not in posterior.vapours)
    own = posterior.mean[3:].reshape(3, len(posterior.vapours))
    values = np.concatenate([posterior.mean[:3], np.hstack([own, np.zeros((3, len(others)))]).ravel()])
    wider = replace(posterior, vapours=posterior.vapours + others)
    return np.asarray(np.log(points.volume) - wider.log_volume(points, values))


def unmeasured(carbon: str, rows: list[Point]) -> list[Score]:
    """Every vapour from the generic medium alone: no point of this carbon is used."""
    return _asked(carbon, prior(media.load("generic")), rows)


def mixed(
    carbon: str, rows: list[Point], sets: Sequence[tuple[float, list[tuple[str, str, float, float]]]]
) -> list[Score]:
    """Components of mixtures from the pure vapours on the same carbon."""
    posteriors = fit(points_of(rows))
    known = {one.cas for one in rows}
    wanted = [(t, parts) for t, parts in sets if all(cas in known for cas, *_ in parts)]
    lines = ["mixture,cas,temperature_K,partial_pressure_Pa"]
    lines += [f"{n},{cas},{t!r},{p!r}" for n, (t, parts) in enumerate(wanted) for cas, _, p, _ in parts]
    if not wanted:
        return []
    cells = [line.split(",")[-3:] for line in answer(posteriors, "\n".join(lines)).text.splitlines()[1:]]
    answers = iter([tuple(float(cell) for cell in row) for row in cells])
    gathered: dict[str, list[tuple[float, ...]]] = {}
    for t, parts in wanted:
        names = [name for _, name, _, _ in parts]
        for at, (_, name, p, q) in enumerate(parts):
            middle, low, high = next(answers)
            gathered.setdefault(f"{name} with {names[1 - at]}", []).append((q, low, middle, high, p, t))
    return [
        Score(carbon, what, *(np.array(column) for column in zip(*values, strict=True)))
        for what, values in gathered.items()
    ]
