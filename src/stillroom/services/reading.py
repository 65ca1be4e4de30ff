"""Weigh readings against an assessment: what each should have shown, what life remains, what to look at first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date as Date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from stillroom.assessment.case import Case
from stillroom.assessment.points import at_points, drawn_again, less_carbon, more_bypass
from stillroom.assessment.result import Assessment
from stillroom.assessment.vapours import Vapours
from stillroom.cabinet.design import Cabinet
from stillroom.errors import InputError, Problem
from stillroom.inventory.model import Inventory
from stillroom.monitoring.expected import Expectation
from stillroom.monitoring.judge import (
    LEAST_DRAWS,
    Judged,
    Judgement,
    cautious,
    interval,
    judge,
    weigh_draws,
)
from stillroom.monitoring.readings import Reading
from stillroom.room.model import Room
from stillroom.services.assess import typed_limits
from stillroom.services.computed import computed
from stillroom.substances.model import Limit

__all__ = ["Asked", "air_of", "expect", "remaining", "settle", "weigh"]

Array = NDArray[np.float64]
Life = dict[str, float | None]
_SHARES = (0.7, 0.4, 0.2, 0.1)
"""Shares of the carbon that may be left at work."""
_LEAKS = (0.02, 0.5)
"""Share of the air that goes past a leaking seal [-]."""
_MORE = 10
"""Times the draws, at most, where too few agree."""
_MOST_DRAWS = 20_000
_WORTH = 0.01
"""Causes less probable than this are not named [-]."""
_SPARE = 1.5
"""Times the draws that the first effective size asks for."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What the assessment was asked: the same gives the same draws."""

    inventory: Inventory
    cabinet: Cabinet
    room: Room
    installed: Date
    """when the filter was put in"""
    seed: int = 1
    draws: int = 1000
    hand_limits: tuple[Limit, ...] = ()
    """besides those of the room"""


def weigh(asked: Asked, readings: Sequence[Reading], *, today: Date, repeats: int = 199) -> dict[str, Any]:
    """Readings set against an assessment, as one JSON-able answer.

    Parameters
    ----------
    asked : Asked
        What was assessed, and when the filter was put in.
    readings : sequence of Reading
        Of all visits on this filter; those before it was put in are not counted.
    today : datetime.date
        From when life remains; the clock is never asked.
    repeats : int
        Sets of readings simulated to judge how odd these are [-].

    Returns
    -------
    dict
        ``readings`` (each with expected, verdict, words), ``verdict`` ("consistent", "inconsistent", "cannot
        tell"), ``life`` before and after (days from today; None where it cannot be told), ``ess``, ``weight_of_readings``,
        ``draws``, ``words`` and ``look_at_first``.

    Raises
    ------
    InputError
        No reading counts, a point does not exist in this cabinet, or a date is not possible.
    """
    counted = [item for item in readings if item.on >= asked.installed]
    _check(asked, readings, counted, today)
    first = _assess(asked)
    result, answer = settle(asked, first, counted, repeats=repeats)
    before = _life(remaining(first, asked, today), np.ones(first.case.draws))
    after = _life(remaining(result, asked, today), answer.weights)
    verdict = _whole(answer)
    spent = verdict == "consistent" and after["cautious"] is not None and after["cautious"] < 1.0
    return {
        "verdict": verdict,
        "readings": [_reading(item) for item in answer.readings],
        "life": {
            "before": before,
            "after": after if verdict == "consistent" else dict.fromkeys(after),
            "unit": "days from today",
        },
        "ess": round(answer.effective, 1),
        "weight_of_readings": round(answer.exponent, 4),
        "draws": result.case.draws,
        "odds_of_a_fault": float(f"{answer.fit.odds:.3g}"),
        "as_odd_by_chance": answer.fit.share,
        "words": [
            *_words(answer, verdict, before, after, len(readings) - len(counted), result),
            *(_why_nothing(result, asked, today, answer.weights) if spent else []),
        ],
        "look_at_first": [
            {"cause": item.cause.key, "words": item.cause.words, "probability": round(item.probability, 3)}
            for item in answer.fit.causes
            if item.probability >= _WORTH or item is answer.fit.causes[0]
        ],
    }


def expect(case: Case, readings: Sequence[Reading], installed: Date) -> Expectation:
    """What the air holds at the place and time of each reading, in every draw of the assessment.

    Parameters
    ----------
    case : Case
        `Assessment.staying`.
    readings : sequence of Reading
    installed : datetime.date
        When the filter was put in.
    """
    vapours, inlet = drawn_again(case)
    rng = np.random.default_rng(case.seed + 31)
    leak = np.exp(rng.uniform(np.log(_LEAKS[0]), np.log(_LEAKS[1]), case.draws))
    bypass = 1.0 - (1.0 - vapours.stack.bypass) * (1.0 - leak)
    total, stored = air_of(case, vapours, inlet, readings, installed)
    bypassed, _ = air_of(case, more_bypass(vapours, bypass), inlet, readings, installed)
    ladder = [air_of(case, less_carbon(vapours, share), inlet, readings, installed)[0] for share in _SHARES]
    which = rng.integers(len(_SHARES), size=case.draws)
    spent = np.choose(which, ladder)
    flow = vapours.flow
    return Expectation(vapours.cas, total, stored, bypassed, spent, flow.cabinet / flow.ventilation)


def air_of(
    case: Case, vapours: Vapours, inlet: Array, readings: Sequence[Reading], installed: Date
) -> tuple[Array, Array]:
    """Total and stored part at each reading, (n_r, n_v, size) [ppm].

    Parameters
    ----------
    case : Case
    vapours : Vapours
    inlet : ndarray, shape (n_v, size)
        What has loaded the filter [mol/m³].
    readings : sequence of Reading
    installed : datetime.date
        When the filter was put in.
    """
    total = np.empty((len(readings), *vapours.emission.shape))
    stored = np.empty_like(total)
    for number in sorted({reading.bed_number for reading in readings}):
        rows = [j for j, reading in enumerate(readings) if reading.bed_number == number]
        days = np.array([float((readings[j].on - installed).days) for j in rows])
        air = at_points(case, vapours, inlet, days, bed_number=number)
        for place, j in enumerate(rows):
            total[j] = air.total[readings[j].point][place]
            stored[j] = air.stored[readings[j].point][place]
    return total, stored


def _assess(asked: Asked) -> Assessment:
    return computed(
        asked.inventory,
        asked.cabinet,
        asked.room,
        seed=asked.seed,
        draws=asked.draws,
        hand_limits=[*typed_limits(asked.room), *asked.hand_limits],
    )


def settle(
    asked: Asked, first: Assessment, readings: Sequence[Reading], *, repeats: int = 199
) -> tuple[Assessment, Judgement]:
    """The assessment whose draws were weighed, and the judgement.

    Parameters
    ----------
    asked : Asked
    first : Assessment
        As it was made.
    readings : sequence of Reading
        All on this filter.
    repeats : int
        As in `weigh` [-].

    Notes
    -----
    It is another than `first` only where too few draws agree with readings that fit: then up to ten times as many are drawn.
    """
    case = first.staying
    out = [item.name for item in first.case.containers if item not in case.containers]
    expectation = expect(case, readings, asked.installed)
    answer = judge(readings, expectation, seed=case.seed, missing=out, repeats=repeats)
    short = _SPARE * LEAST_DRAWS / answer.effective
    taken = case.draws  # more than was asked for where the cautious life called for it
    draws = min(int(taken * min(max(short, 2.0), _MORE)), _MOST_DRAWS)
    if not answer.fit.consistent or answer.effective >= LEAST_DRAWS or draws <= taken:
        return first, answer
    more = _assess(replace(asked, draws=draws))
    if more.staying.containers != case.containers:
        return first, answer  # a verdict on the edge: keep to what was signed
    vapours, inlet = drawn_again(more.staying)
    air, _ = air_of(more.staying, vapours, inlet, readings, asked.installed)
    weight, exponent, effective = weigh_draws(readings, vapours.cas, air, seed=case.seed)
    return more, replace(answer, weights=weight, exponent=exponent, effective=effective)


def remaining(result: Assessment, asked: Asked, today: Date) -> Array:
    """Life that is left in each draw, never below nothing, (size,) [days]."""
    return np.asarray(np.maximum(result.life - float((today - asked.installed).days), 0.0))


def _check(asked: Asked, readings: Sequence[Reading], counted: Sequence[Reading], today: Date) -> None:
    problems = []
    beds = sum(item.mass > 0.0 for item in asked.cabinet.filters.beds)
    if not counted:
        what = "no reading was made on this filter" if readings else "there is no reading"
        problems.append(Problem(what, "Enter one that was made since the filter was put in."))
    if today < asked.installed:
        problems.append(Problem("today lies before the filter was put in", "Correct one of the dates."))
    for place, reading in enumerate(readings, 1):
        if reading.on > today:
            problems.append(
                Problem("the reading lies in the future", "Correct its date.", row=place, column="on")
            )
        if reading.point == "between beds" and not 1 <= reading.bed_number < beds:
            words = f"this cabinet has {beds} bed{'' if beds == 1 else 's'}, so there is no such place between beds"
            problems.append(Problem(words, "Choose another point.", row=place, column="point"))
    if problems:
        raise InputError(problems)


def _whole(answer: Judgement) -> str:
    if not answer.fit.consistent:
        return "inconsistent"
    blind = all(item.verdict == "cannot tell" for item in answer.readings)
    return "cannot tell" if blind else "consistent"


def _words(
    answer: Judgement, verdict: str, before: Life, after: Life, skipped: int, result: Assessment
) -> list[str]:
    words = []
    if verdict == "inconsistent":
        first = answer.fit.causes[0]
        words.append(
            "Inconsistent: the readings do not fit what was assessed, so no remaining life is derived from them. "
            f"Look first: {first.cause.words}"
        )
    elif verdict == "cannot tell":
        words.append(
            "Cannot tell: none of these readings can confirm or contradict the assessment; its remaining life stands."
        )
    else:
        words.append(
            f"The readings fit. Cautious remaining life {_days(before['cautious'])} before them, {_days(after['cautious'])} with them. "
            "They may shorten what the label says; only a new validation lengthens it."
        )
    if verdict == "consistent" and answer.exponent < 1.0:
        words.append(
            f"Too few draws agree ({answer.effective:.0f} in effect), so the readings were given "
            f"{100 * answer.exponent:.0f} % of their weight: the interval is wider than they would make it."
        )
    if skipped:
        words.append(f"{skipped} readings were made before this filter was put in: not counted.")
    if len(result.staying.containers) < len(result.case.containers):
        words.append("What is expected counts only the containers that may stay.")
    return words


def _why_nothing(result: Assessment, asked: Asked, today: Date, weight: Array) -> list[str]:
    """Why less than a day is left at the cautious end: in how much of the weight which clock has run out."""
    age = float((today - asked.installed).days)
    over = result.life < age + 1.0
    first = max(result.clocks, key=lambda clock: float(weight[over & (clock.days == result.life)].sum()))
    names = {item.subject.cas: item.subject.substance.name for item in result.subjects}
    name = names.get(first.governing, first.governing)
    return [
        f"Nothing is left at the cautious end, because in {100 * float(weight[over].sum()):.0f} % of what fits the readings the filter "
        f"is spent at {age:.0f} days of age; mostly the {first.name} clock has run out{f' ({name})' if name else ''}. "
        "Replace it now."
    ]


def _days(value: float | None) -> str:
    return "no end" if value is None else f"{int(value)} days"


def _reading(item: Judged) -> dict[str, Any]:
    reading = item.reading
    return {
        "key": reading.key,
        "point": reading.point,
        "on": reading.on.isoformat(),
        "instrument": reading.instrument.key,
        "value_ppm": None if reading.below else reading.value_ppm,
        "below_ppm": reading.limit_ppm if reading.below else None,
        "expected": {name: float(f"{getattr(item.expected, name):.4g}") for name in ("p05", "p50", "p95")},
        "verdict": item.verdict,
        "words": item.words,
    }


def _life(days: Array, weight: Array) -> Life:
    """5, 50 and 95 % of what is left, and the bound that decides [days]; None where nothing was reached."""
    band = interval(days, weight)
    found = {"p05": band.p05, "p50": band.p50, "p95": band.p95, "cautious": cautious(days, weight)}
    return {name: float(f"{value:.6g}") if np.isfinite(value) else None for name, value in found.items()}
