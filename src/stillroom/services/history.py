"""What is kept of cabinets, for one or for hundreds in the same few queries; only what dates hang on."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from django.db.models import Count, F

from stillroom.records.models import Cabinet, FilterChange, Reading, Series, Strike, Validation, Visit

__all__ = ["Answer", "History", "Signed", "histories", "history_of"]

_AT_ONCE = 400
"""Cabinets a query: databases limit how many numbers one may name."""

_TOLD = {
    "assessed": "assessment__record__date",
    "interval_days": "assessment__record__visit__interval_days",
    "label_life_days": "assessment__record__label_life_days",
    "life_days": "assessment__record__service_life_days",
    "dated": "assessment__inputs__date",
    "installed": "assessment__inputs__cabinet__filters__installed",
    "beds": "assessment__inputs__cabinet__filters__bed",
    "rules": "assessment__inputs__room__rules",
}


@dataclass(frozen=True, slots=True)
class Signed:
    """A validation with what of its record and inputs dates hang on; the rest stays in the database."""

    row: Validation
    """without its text, record and inputs"""
    superseded: bool
    assessed: datetime.date | None
    told_installed: datetime.date | None
    """when the assessment takes the filter to be put in: its own word, else its date"""
    interval_days: float | None
    """from one visit to the next [days]"""
    label_life_days: float | None
    """[days]"""
    life_days: Mapping[str, float | None]
    """``p05``, ``p50``, ``p95`` [days]"""
    beds: tuple[Mapping[str, Any], ...]
    """validated beds in the order in which the air meets them: ``medium``, ``mass_kg`` [kg]"""
    rules: Mapping[str, Any]

    @property
    def withdrawn(self) -> bool:
        return hasattr(self.row, "withdrawal")


@dataclass(frozen=True, slots=True)
class Answer:
    """What the model said to the readings of a visit, to a sensor's file, or to what was left once a reading was struck out."""

    on: datetime.date
    at: datetime.datetime
    """when it was given; what was given later knew what was given before"""
    validation: str
    """key of the one that stood"""
    installed: str
    verdict: str
    life: Mapping[str, float | None]
    """with the readings, from `on` [days]: ``p05``, ``p50``, ``p95`` and, in answers since model 3, ``cautious``"""


@dataclass(frozen=True, slots=True)
class History:
    """Of one cabinet; validations by version, the rest by date, newest first."""

    cabinet: Cabinet
    validations: tuple[Signed, ...] = ()
    changes: tuple[FilterChange, ...] = ()
    visited: tuple[datetime.date, ...] = ()
    answers: tuple[Answer, ...] = ()


def history_of(cabinet: Cabinet) -> History:
    """The history of one cabinet.

    Parameters
    ----------
    cabinet : Cabinet
    """
    return histories([cabinet])[cabinet.pk]


def histories(cabinets: Iterable[Cabinet]) -> dict[int, History]:
    """The history of each, by its number in the database; seven queries for every 400 of them.

    Parameters
    ----------
    cabinets : iterable of Cabinet
        Of any organisation: what belongs to a cabinet is taken, and nothing else.
    """
    every = list(cabinets)
    found: dict[int, History] = {}
    for start in range(0, len(every), _AT_ONCE):
        found |= _read(every[start : start + _AT_ONCE])
    return found


def _read(cabinets: list[Cabinet]) -> dict[int, History]:
    keys = [cabinet.pk for cabinet in cabinets]
    signed, changes, visited, answers = (defaultdict(list) for _ in range(4))
    for cabinet, one in _signed(keys):
        signed[cabinet].append(one)
    for change in FilterChange.objects.filter(cabinet__in=keys).order_by("-on", "-pk"):
        changes[change.cabinet_id].append(change)
    strikes = _strikes(keys)
    for cabinet, on in _visited(keys):
        visited[cabinet].append(on)
    given = [*_of_visits(keys), *_of_sensors(keys), *((cabinet, one.answer) for cabinet, one in strikes)]
    for cabinet, answer in given:
        if not any(
            cabinet == where and _stale(answer, struck, changes[cabinet]) for where, struck in strikes
        ):
            answers[cabinet].append(answer)
    return {
        cabinet.pk: History(
            cabinet,
            tuple(signed[cabinet.pk]),
            tuple(changes[cabinet.pk]),
            tuple(visited[cabinet.pk]),
            tuple(answers[cabinet.pk]),
        )
        for cabinet in cabinets
    }


def _signed(keys: list[int]) -> list[tuple[int, Signed]]:
    rows = Validation.objects.filter(cabinet__in=keys).select_related("assessment", "withdrawal")
    rows = rows.defer("record_text", "assessment__record", "assessment__inputs")
    rows = rows.annotate(**{f"told_{name}": F(path) for name, path in _TOLD.items()})
    every = list(rows.order_by("cabinet_id", "-version"))
    superseded = {row.supersedes_id for row in every}
    return [(row.cabinet_id, _of(row, superseded=row.pk in superseded)) for row in every]


def _of(row: Validation, *, superseded: bool) -> Signed:
    told = {name: getattr(row, f"told_{name}") for name in _TOLD}
    assessed, dated, installed = (_day(told[name]) for name in ("assessed", "dated", "installed"))
    beds = tuple({"medium": bed["medium"], "mass_kg": bed["mass_kg"]} for bed in told["beds"] or ())
    return Signed(
        row,
        superseded,
        assessed,
        installed or dated,
        told["interval_days"],
        told["label_life_days"],
        told["life_days"] or {},
        beds,
        told["rules"] or {},
    )


def _day(text: Any) -> datetime.date | None:
    try:
        return datetime.date.fromisoformat(text or "")
    except (TypeError, ValueError):
        return None


def _visited(keys: list[int]) -> list[tuple[int, datetime.date]]:
    """Days of visits, newest first; one of which every reading was struck out was none."""
    readings = Count("readings")
    struck = Count("readings__strike")
    rows = Visit.objects.filter(cabinet__in=keys).annotate(taken=readings, struck=struck)
    told = rows.order_by("-on", "-pk").values_list("cabinet_id", "on", "taken", "struck")
    return [(cabinet, on) for cabinet, on, taken, gone in told if gone == 0 or gone < taken]


class _Struck(NamedTuple):
    """A reading that was struck out: its day, and what the model says to what is left."""

    since: datetime.date
    answer: Answer


def _stale(answer: Answer, struck: _Struck, changes: Iterable[FilterChange]) -> bool:
    """Whether it was given with the reading that was struck out later: on the same filter, from that day on."""
    gone = min((change.on for change in changes if change.on > struck.since), default=datetime.date.max)
    return struck.since <= answer.on < gone and answer.at < struck.answer.at


def _strikes(keys: list[int]) -> list[tuple[int, _Struck]]:
    rows = Strike.objects.filter(reading__visit__cabinet__in=keys)
    told = rows.values_list(
        "reading__visit__cabinet_id", "reading__visit__on", "created_at", "answer__on", *_parts("answer")
    )
    return [
        (cabinet, _Struck(since, _answer(_day(on) or since, at, *parts)))
        for cabinet, since, at, on, *parts in told
    ]


def _of_visits(keys: list[int]) -> list[tuple[int, Answer]]:
    rows = Reading.objects.filter(visit__cabinet__in=keys, answer__has_key="together")
    told = rows.values_list("visit__cabinet_id", "visit__on", "created_at", *_parts("answer__together"))
    return [(cabinet, _answer(on, at, *parts)) for cabinet, on, at, *parts in told]


def _of_sensors(keys: list[int]) -> list[tuple[int, Answer]]:
    rows = Series.objects.filter(cabinet__in=keys)
    told = rows.values_list("cabinet_id", "created_at", "summary__answer__on", *_parts("summary__answer"))
    return [(cabinet, _answer(day, at, *parts)) for cabinet, at, on, *parts in told if (day := _day(on))]


def _parts(answer: str) -> list[str]:
    return [f"{answer}__{name}" for name in ("validation", "installed", "verdict", "life__after")]


def _answer(
    on: datetime.date, at: datetime.datetime, validation: Any, installed: Any, verdict: Any, life: Any
) -> Answer:
    return Answer(on, at, validation or "", installed or "", verdict or "cannot tell", life or {})
