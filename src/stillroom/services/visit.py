"""Take the readings of a visit: keep them as typed, and set them against what was assessed."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.db import IntegrityError
from django.db.models import Min
from django.utils import timezone

from stillroom import monitoring
from stillroom.errors import InputError, Problem, StillroomError
from stillroom.monitoring.readings import value_in_ppm
from stillroom.monitoring.series import Day, as_readings, read_series
from stillroom.monitoring.series import Series as Monitored
from stillroom.records.models import (
    Cabinet,
    Instrument,
    Reading,
    Series,
    StoredFile,
    Strike,
    User,
    Validation,
    Visit,
)
from stillroom.records.store import keep_file
from stillroom.records.tenancy import may_write_for
from stillroom.records.trail import writing
from stillroom.services.in_place import Filter, asked_of, filter_in, standing_in, without_past
from stillroom.services.instruments import as_read, calibration_on, molar_mass
from stillroom.services.reading import Asked, weigh

__all__ = ["Entry", "earlier_readings", "strike", "take_series", "take_visit"]

_NAMED = 200
"""Cells at fault, and as many that stand twice, that are kept by row and column; all are counted."""

_Sensor = tuple[int, str, int]
"""Which instrument, at which point, behind which bed."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One reading as typed."""

    point: str
    value: str = ""
    """empty where only `below` is told; "< 0.05" is below 0.05"""
    unit: str = "ppm"
    below: bool = False
    bed_number: int = 1
    """"between beds": behind which bed"""


def take_visit(
    cabinet: Cabinet,
    user: User,
    *,
    key: str,
    instrument: Instrument,
    entries: Sequence[Entry],
    measured_at: datetime.datetime,
    person: str,
    note: str = "",
) -> Visit:
    """Keep the readings of one visit, each with what the model says to it.

    Parameters
    ----------
    cabinet : Cabinet
    user : User
        Who enters them.
    key : str
        Of the visit, made when the form was opened: sent twice it is kept once.
    instrument : Instrument
    entries : sequence of Entry
    measured_at : datetime.datetime
        With its time zone.
    person : str
        Who measured.
    note : str

    Raises
    ------
    InputError
        A value cannot be read, or a point does not exist in this cabinet; or the form was sent before with something
        else in it, which a page gone back to does. Nothing is kept.

    Notes
    -----
    Everything is computed before the one transaction that keeps it.
    """
    known: Visit | None = Visit.objects.filter(key=key, organisation=cabinet.organisation).first()
    if known:
        return _same(known, cabinet, entries, instrument, measured_at, person, note)
    on = timezone.localtime(measured_at).date()
    values = _values(entries, instrument)
    read = [
        _read(entry, value, instrument, on, key=f"{key}:{place}")
        for place, (entry, value) in enumerate(zip(entries, values, strict=True))
    ]
    filters, validation = filter_in(cabinet, on), standing_in(cabinet, on)
    answer = _answer(cabinet, filters, validation, read, today=on)
    answer["words"] += _said_of(instrument, on)
    own = {"organisation": cabinet.organisation, "created_by": user}
    try:
        with writing(cabinet.organisation, user, reason="readings were taken at a visit") as write:
            visit: Visit = Visit.objects.create(
                key=key, cabinet=cabinet, validation=validation, on=on, person=person, note=note, **own
            )
            write.call(visit, "visit.taken")
            for place, (entry, value) in enumerate(zip(entries, values, strict=True)):
                Reading.objects.create(
                    visit=visit,
                    instrument=instrument,
                    point=entry.point,
                    value_ppm=entry.value,
                    unit=entry.unit,
                    below_detection=value[1],
                    detection_limit_ppm=_limit(value, instrument) or instrument.detection_limit_ppm,
                    measured_at=measured_at,
                    answer=_own(answer, f"{key}:{place}", entry, value, first=place == 0),
                    **own,
                )
    except IntegrityError:
        visit = Visit.objects.filter(key=key, organisation=cabinet.organisation).first()
        if visit is None:
            raise InputError(Problem("this form was sent before", "Open a new one.")) from None
        return _same(visit, cabinet, entries, instrument, measured_at, person, note)
    return visit


def _same(
    kept: Visit,
    cabinet: Cabinet,
    entries: Sequence[Entry],
    instrument: Instrument,
    measured_at: datetime.datetime,
    person: str,
    note: str,
) -> Visit:
    """The visit that was kept, where the same was sent again; what differs is never dropped without a word."""
    rows = list(kept.readings.order_by("pk"))
    then = [
        (
            row.point,
            row.answer.get("bed_number", 1),
            row.value_ppm,
            row.unit,
            row.measured_at,
            row.instrument_id,
        )
        for row in rows
    ]
    now = [
        (entry.point, entry.bed_number, entry.value, entry.unit, measured_at, instrument.pk)
        for entry in entries
    ]
    told = (kept.cabinet_id, kept.person, kept.note)
    unticked = [entry.below and not row.below_detection for entry, row in zip(entries, rows, strict=False)]
    if then != now or told != (cabinet.pk, person, note) or any(unticked):
        what = "this form was sent before, with other readings; those are kept, and these are not"
        mend = "Strike out there what was mistyped, and enter what is right in a new visit."
        raise InputError(Problem(what, mend))
    return kept


def take_series(
    cabinet: Cabinet,
    user: User,
    *,
    instrument: Instrument,
    point: str,
    bed_number: int,
    content: bytes,
    name: str,
    unit: str = "ppm",
    until: datetime.date | None = None,
) -> Series:
    """Keep a fixed sensor's file with its summary and what the model says to it; sent again it is kept once.

    Parameters
    ----------
    cabinet : Cabinet
    user : User
    instrument : Instrument
        The sensor.
    point : str
    bed_number : int
        Behind which bed [-].
    content : bytes
        The file.
    name : str
        Its name.
    unit : str
        Where the file names none [ppm, ppb, mg/m3 or ug/m3].
    until : datetime.date, optional
        The last day that a row may have.

    Raises
    ------
    InputError
        Nothing can be read from it: every cell at fault, with row and column.

    Notes
    -----
    A day that several files of one sensor at one point tell counts once, as the newest file has it.
    """
    how = {"point": point, "bed_number": bed_number, "unit": unit}
    known = _sent_before(cabinet, instrument, how, content)
    if known is not None:
        return known
    series = _series(content, name, instrument, unit, until)
    read = _blocks(series, how, instrument)
    told_again = {_sensor(instrument.pk, how): {day.on for day in series.days}}
    last = series.days[-1].on
    filters, validation = filter_in(cabinet, last), standing_in(cabinet, last)
    answer = _answer(cabinet, filters, validation, read, today=last, told_again=told_again)
    answer["words"] += _said_of(instrument, last)
    summary = {
        **how,
        "values": series.values,
        "first": series.days[0].on.isoformat(),
        "last": last.isoformat(),
        "days": len(series.days),
        "medians": [[day.on.isoformat(), day.median_ppm, day.count, day.limit_ppm] for day in series.days],
        "faults": [_told(fault) for fault in series.faults[:_NAMED]],
        "duplicates": [_told(fault) for fault in series.duplicates[:_NAMED]],
        "cells": len(series.faults) + len(series.duplicates),
        "gaps": [[first.isoformat(), end.isoformat()] for first, end in series.gaps],
        "reading": dict(series.reading),
        "answer": answer,
    }
    with writing(cabinet.organisation, user, reason="a sensor's file was given") as write:
        file = keep_file(cabinet.organisation, user, name=name, content=content)
        row: Series = Series.objects.create(
            organisation=cabinet.organisation,
            created_by=user,
            cabinet=cabinet,
            file=file,
            point=point,
            instrument=instrument,
            summary=summary,
        )
        write.call(row, "series.taken")
    return row


def strike(reading: Reading, user: User, *, reason: str) -> Strike:
    """Strike a mistyped reading out: it stays to be seen and counts nowhere. What is left is weighed again.

    Parameters
    ----------
    reading : Reading
    user : User
        An owner or validator of its organisation.
    reason : str
        Never empty.

    Raises
    ------
    InputError
        It is struck already, there is no reason, or what is left cannot be weighed again. Nothing is kept.

    Notes
    -----
    The answer is of the last day on which that filter was read, the struck reading's own day included. It takes the place of every answer
    from the struck reading's day on that was given with it; a visit of which nothing is left was no visit (`history`).
    """
    if not may_write_for(user, reading.organisation_id):
        raise InputError(Problem("only an owner or a validator strikes a reading out", "Ask one of them."))
    if not reason.strip():
        raise InputError(Problem("the reason is missing", "Say what was mistyped.", column="reason"))
    if hasattr(reading, "strike"):
        raise InputError(_STRUCK)
    cabinet, on = reading.visit.cabinet, reading.visit.on
    filters = filter_in(cabinet, on)
    last = _last_read(cabinet, filters, on)
    validation = standing_in(cabinet, last)
    answer = _answer(cabinet, filters, validation, (), today=last, without=reading.pk)
    if (
        validation
        and not answer["installed"]
        and earlier_readings(cabinet, filters, last, without=reading.pk)
    ):
        raise InputError(Problem("the readings that are left cannot be weighed", " ".join(answer["words"])))
    own = {"organisation": reading.organisation, "created_by": user}
    try:
        with writing(reading.organisation, user, reason=reason.strip()) as write:
            row: Strike = Strike.objects.create(reading=reading, reason=reason.strip(), answer=answer, **own)
            write.call(row, "reading.struck")
    except IntegrityError:
        raise InputError(_STRUCK) from None
    return row


_STRUCK = Problem("this reading is struck out already", "Go back to the visit.")


def _last_read(cabinet: Cabinet, filters: Filter, on: datetime.date) -> datetime.date:
    """The last day on which this filter was read: not past the next change."""
    changes = cabinet.filter_changes.filter(on__gt=filters.since or on).order_by("on")
    gone = changes.values_list("on", flat=True).first() or datetime.date.max
    days: list[datetime.date] = [on]
    days += cabinet.visits.filter(on__gte=on, on__lt=gone).values_list("on", flat=True)
    told = (row.summary.get("last") for row in cabinet.series.only("summary"))
    sensed = (datetime.date.fromisoformat(day) for day in told if day)
    return max([*days, *(day for day in sensed if day < gone)])


def earlier_readings(
    cabinet: Cabinet,
    filters: Filter,
    until: datetime.date,
    *,
    told_again: Mapping[_Sensor, set[datetime.date]] | None = None,
    without: int | None = None,
) -> list[monitoring.Reading]:
    """What visits and fixed sensors read on a filter, oldest first; what was struck out is not among it.

    Parameters
    ----------
    cabinet : Cabinet
    filters : Filter
        As `in_place.filter_in` gives it.
    until : datetime.date
        Last day.
    told_again : mapping, optional
        Days of a sensor that a newer file tells.
    without : int, optional
        Number in the database of a reading that is about to be struck out.

    Notes
    -----
    On the day of a change, what was entered before the change was read on the filter that went out; an entry that
    corrects one of that day changes nothing in that. A sensor's days count from the day after it, each once, as the
    newest file has it.
    """
    since = filters.since
    if since is None:
        return []
    rows = Reading.objects.filter(
        visit__cabinet=cabinet, visit__on__gte=since, visit__on__lte=until, strike=None
    ).exclude(pk=without)
    if filters.change:
        entered = cabinet.filter_changes.filter(on=since).aggregate(first=Min("created_at"))["first"]
        rows = rows.exclude(visit__on=since, created_at__lt=entered)
    rows = rows.select_related("visit", "instrument").prefetch_related("instrument__calibrations")
    found = [_again(row) for row in rows.order_by("measured_at", "pk") if row.instrument]
    taken = {sensor: set(days) for sensor, days in (told_again or {}).items()}
    series = cabinet.series.select_related("file", "instrument").defer("file__content")
    for row in series.prefetch_related("instrument__calibrations").order_by("-pk"):
        found += [item for item in _read_again(row, taken) if since < item.on <= until]
    return found


def _again(row: Reading) -> monitoring.Reading:
    value, _ = _value(row.value_ppm, row.unit, row.below_detection, row.instrument)
    return monitoring.Reading(
        row.point,
        row.visit.on,
        as_read(row.instrument, row.visit.on),
        value_ppm=None if row.below_detection else value,
        detection_limit_ppm=row.detection_limit_ppm,
        bed_number=int(row.answer.get("bed_number", 1)),
        key=f"reading {row.pk}",
    )


def _sensor(instrument: int, how: Mapping[str, Any]) -> _Sensor:
    return instrument, str(how["point"]), int(how["bed_number"])


def _sent_before(
    cabinet: Cabinet, instrument: Instrument, how: Mapping[str, Any], content: bytes
) -> Series | None:
    same = cabinet.series.filter(
        file__sha256=hashlib.sha256(content).hexdigest(), instrument=instrument, point=how["point"]
    )
    rows = (row for row in same.order_by("pk") if all(row.summary.get(key) == how[key] for key in how))
    return next(rows, None)


def _read_again(row: Series, taken: dict[_Sensor, set[datetime.date]]) -> tuple[monitoring.Reading, ...]:
    """Its readings without the days that a newer file told; `taken` gets its days."""
    if row.instrument is None:
        return ()
    file: StoredFile = row.file
    told = row.summary.get("medians")
    if told is None:
        series = _series(bytes(file.content), file.name, row.instrument, row.summary["unit"])
    else:
        kept = (Day(datetime.date.fromisoformat(on), *rest) for on, *rest in told)
        series = Monitored(file.name, tuple(kept), row.summary["values"])
    how = row.summary | {"point": row.point}
    newer = taken.setdefault(_sensor(row.instrument.pk, how), set())
    days = tuple(day for day in series.days if day.on not in newer)
    newer.update(day.on for day in days)
    return _blocks(replace(series, days=days), how, row.instrument) if days else ()


def _series(
    content: bytes, name: str, instrument: Instrument, unit: str, until: datetime.date | None = None
) -> Monitored:
    mass = molar_mass(instrument) if "m3" in unit else 56.11
    limit = float(instrument.detection_limit_ppm or 0.0)
    return read_series(
        content, name, unit=unit, detection_limit_ppm=limit, molar_mass_g_mol=mass, until=until
    )


def _blocks(
    series: Monitored, how: Mapping[str, Any], instrument: Instrument
) -> tuple[monitoring.Reading, ...]:
    sensor = as_read(instrument, series.days[-1].on)
    return as_readings(series, point=how["point"], instrument=sensor, bed_number=int(how["bed_number"]))


def _values(entries: Sequence[Entry], instrument: Instrument) -> list[tuple[float | None, bool]]:
    """Each value in ppm, and whether it lies below the detection limit."""
    found, problems = [], []
    for place, entry in enumerate(entries, 1):
        try:
            found.append(_value(entry.value, entry.unit, entry.below, instrument))
        except InputError as error:
            problems += [
                Problem(each.what, each.mend, row=place, column="value", found=each.found)
                for each in error.problems
            ]
    if not entries:
        problems.append(Problem("there is no reading", "Enter one."))
    if problems:
        raise InputError(problems)
    return found


def _value(text: str, unit: str, below: bool, instrument: Instrument) -> tuple[float | None, bool]:
    if not text.strip():
        if below:
            return None, True
        raise InputError(Problem("the value is missing", "Enter it, or say that it is below the limit."))
    mass = molar_mass(instrument) if "m3" in unit else 56.11
    value, marked = value_in_ppm(text, unit, molar_mass_g_mol=mass)
    if value < 0.0:
        raise InputError(
            Problem("the value is below zero", "Set the instrument's zero, then read again.", found=text)
        )
    return value, below or marked or value < float(instrument.detection_limit_ppm or 0.0)


def _limit(value: tuple[float | None, bool], instrument: Instrument) -> float | None:
    """The limit that a reading tells itself: "< 0.05", or a value ticked as below; never finer than the instrument's."""
    return max(value[0], float(instrument.detection_limit_ppm or 0.0)) if value[1] and value[0] else None


def _read(
    entry: Entry,
    value: tuple[float | None, bool],
    instrument: Instrument,
    on: datetime.date,
    *,
    key: str,
) -> monitoring.Reading:
    return monitoring.Reading(
        entry.point,  # type: ignore[arg-type]
        on,
        as_read(instrument, on),
        value_ppm=None if value[1] else value[0],
        detection_limit_ppm=_limit(value, instrument),
        bed_number=entry.bed_number,
        key=key,
    )


def _answer(
    cabinet: Cabinet,
    filters: Filter,
    validation: Validation | None,
    read: Sequence[monitoring.Reading],
    *,
    today: datetime.date,
    told_again: Mapping[_Sensor, set[datetime.date]] | None = None,
    without: int | None = None,
) -> dict[str, Any]:
    """What the model says to all readings on this filter."""
    told: dict[str, Any] = {"on": today.isoformat(), "filter": filters.words, "installed": None}
    nothing = told | {
        "verdict": "cannot tell",
        "words": [],
        "readings": [],
        "look_at_first": [],
        "life": None,
    }
    if validation is None or filters.since is None:
        why = (
            "No validation stands for this cabinet, so there is nothing to set the readings against. They are kept."
            if validation is None
            else "It is not known since when the filter is in place, so nothing can be expected of it. The readings are kept."
        )
        return nothing | {"words": [why]}
    asked = asked_of(validation.assessment, filters.since)
    if asked.cabinet.filters.installed != filters.since.isoformat():
        asked = without_past(asked)  # which was an earlier filter's
    _check_points(asked, read)
    all_earlier = earlier_readings(cabinet, filters, today, told_again=told_again, without=without)
    earlier = [item for item in all_earlier if _there(asked, item)]
    if not earlier and not read:
        return nothing | {"words": ["No reading is left on this filter."]}
    try:
        answer = weigh(asked, [*earlier, *read], today=today)
    except StillroomError as error:
        why = f"The assessment cannot be computed again, so the readings are kept without an answer: {error}"
        return nothing | {"words": [why]}
    answer["words"] += _of_other_contents(cabinet, filters.since, validation)
    if len(earlier) < len(all_earlier):
        answer["words"].append("Earlier readings between beds that this stack does not have are not counted.")
    answer["words"].append(f"The filter: {filters.words}. Earlier readings on it: {len(earlier)}.")
    return told | answer | {"installed": filters.since.isoformat(), "validation": validation.key}


def _there(asked: Asked, reading: monitoring.Reading) -> bool:
    """Whether the cabinet has that point."""
    beds = sum(item.mass > 0.0 for item in asked.cabinet.filters.beds)
    return reading.point != "between beds" or 1 <= reading.bed_number < beds


def _check_points(asked: Asked, read: Sequence[monitoring.Reading]) -> None:
    what, mend = "this stack has no such place between beds", "Choose another point."
    problems = [
        Problem(what, mend, row=place, column="point")
        for place, item in enumerate(read, 1)
        if not _there(asked, item)
    ]
    if problems:
        raise InputError(problems)


def _of_other_contents(cabinet: Cabinet, since: datetime.date, validation: Validation) -> list[str]:
    others = cabinet.visits.filter(on__gte=since).exclude(validation=validation)
    if not others.exists():
        return []
    return [
        "Some earlier readings on this filter were taken under another validation; they are weighed as if what stands "
        "here now had stood here then. If the contents were changed since, trust the readings since the change."
    ]


def _said_of(instrument: Instrument, on: datetime.date) -> list[str]:
    words = calibration_on(instrument, on).words
    return [f"{instrument.name}: {words}"] if words else []


def _own(
    answer: Mapping[str, Any], key: str, entry: Entry, value: tuple[float | None, bool], *, first: bool
) -> dict[str, Any]:
    """What is kept with one reading: its own line; with the first also what all readings together say."""
    own = next((item for item in answer["readings"] if item["key"] == key), None)
    together = {name: value for name, value in answer.items() if name != "readings"}
    return {
        "ppm": value[0],
        "bed_number": entry.bed_number,
        "expected": own["expected"] if own else None,
        "verdict": own["verdict"] if own else "cannot tell",
        "words": own["words"] if own else "",
    } | ({"together": together} if first else {})


def _told(problem: Problem) -> dict[str, Any]:
    return {
        "row": problem.row,
        "column": problem.column,
        "found": problem.found,
        "what": problem.what,
        "mend": problem.mend,
    }
