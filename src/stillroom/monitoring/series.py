"""A fixed sensor's series: rows of time and value to daily medians, and those to readings.

Every fault stands with its row and column; a cell that is no number is left out and reported, never guessed.
"""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise

import numpy as np

from stillroom.errors import InputError, Problem
from stillroom.inventory.tables import open_table
from stillroom.monitoring.readings import Instrument, Point, Reading, ppm_of, value_in_ppm
from stillroom.units import DecimalMark

__all__ = ["Day", "Series", "as_readings", "read_series"]

_HEADERS = {
    "time": "timestamp datetime date/time zeitpunkt zeitstempel horodatage",
    "date": "date datum fecha tarikh",
    "clock": "time zeit uhrzeit heure hora masa",
    "value": "value reading concentration wert messwert konzentration valeur mesure valor lectura nilai bacaan ppm ppb mg/m3 ug/m3",
    "unit": "unit units einheit unité unite unidad",
}
_COLUMN = {word: column for column, words in _HEADERS.items() for word in words.split()}
_MOST_FAULTY = 0.5
_GAP_DAYS = 1
_DAY_FIRST = re.compile(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4})(.*)")
_CLOCK = re.compile(
    r"(\S+?)[T\s]+(\d{1,2})(:\d{2}(?::\d{2}(?:[.,]\d+)?)?)\s*(?:([ap])\.?\s?m\.?)?\s*(Z|[+-]\d{2}:?\d{2})?",
    re.IGNORECASE,
)
"""A date, and the time of day on a clock of 24 or of twice 12 hours, with a zone or without."""
_KNOWN_CELLS = 20_000
"""Values whose reading is remembered while one file is read: sensors write the same ones again and again."""


@dataclass(frozen=True, slots=True)
class Day:
    """The median of one day [ppm], None where most of it lay below a detection limit; and of how many values."""

    on: datetime.date
    median_ppm: float | None
    count: int
    limit_ppm: float = 0.0
    """where most of it lay below: the largest limit that was told, "< 0.5" or the instrument's [ppm]"""


@dataclass(frozen=True, slots=True)
class Series:
    """What a file held."""

    file: str
    days: tuple[Day, ...]
    values: int
    """rows that were used"""
    faults: tuple[Problem, ...] = ()
    """cells that were left out, each with row and column"""
    duplicates: tuple[Problem, ...] = ()
    """rows whose time stood already: left out where the value is the same, kept where it differs"""
    gaps: tuple[tuple[datetime.date, datetime.date], ...] = ()
    """first and last day without a value"""
    reading: tuple[tuple[str, str], ...] = ()
    """how the file was read: encoding, separator, unit"""


@dataclass(frozen=True, slots=True)
class _Cell:
    row: int
    time: datetime.datetime
    ppm: float
    """−inf for "below" """
    limit: float = 0.0
    """below which [ppm]"""
    zone: datetime.timedelta | None = None
    """before universal time, where the file tells"""


def read_series(
    data: bytes,
    file: str,
    *,
    unit: str = "ppm",
    detection_limit_ppm: float = 0.0,
    molar_mass_g_mol: float = 56.11,
    until: datetime.date | None = None,
) -> Series:
    """The daily medians of a sensor's file.

    Parameters
    ----------
    data : bytes
        CSV or XLSX in the encodings and separators of an inventory; a header row names time and value, and unit
        unless the value's header holds it ("value (ppb)").
    file : str
        Its name.
    unit : str
        Where the file names none [ppm, ppb, mg/m3 or ug/m3].
    detection_limit_ppm : float
        Less than this, and "< …", counts as below; so much below zero is noise, and more of it a fault [ppm].
    molar_mass_g_mol : float
        Of what the sensor is scaled in, for mg/m3 [g/mol].
    until : datetime.date, optional
        The last day that a row may have; a later one is a fault.

    Raises
    ------
    InputError
        No header, no value, or more than half of the rows at fault: every fault, with row and column.
    """
    table = open_table(data, file, _score)
    found = next(((n, row) for n, row in enumerate(table.rows) if _is_header(row[1])), None)
    if found is None:
        mend = "Write a header row: time, value, unit."
        raise InputError(Problem("no row names a time and a value", mend, file))
    index, (_, header) = found
    places = _places(header)
    names = {column: header[place].strip() for column, place in places.items()}
    usual = _unit_in(names["value"]) or unit
    body = [(n, row) for n, row in table.rows[index + 1 :] if any(cell.strip() for cell in row)]
    day_first = _day_first(row[places["time"]] for _, row in body if len(row) > places["time"])
    decimal = _decimal(row[places["value"]] for _, row in body if len(row) > places["value"])
    how_read = _How(usual, day_first, decimal, detection_limit_ppm, molar_mass_g_mol, until)
    cells: list[_Cell] = []
    faults: list[Problem] = []
    for number, row in body:
        try:
            cells.append(_cell(number, row, places, names, how_read))
        except InputError as error:
            faults += [
                Problem(each.what, each.mend, file, number, each.column or names["value"], each.found)
                for each in error.problems
            ]
    if not cells or len(faults) > _MOST_FAULTY * len(body):
        none = Problem("the file holds no value", "Write time and value in each row.", file)
        raise InputError(faults or none)
    kept, duplicates = _once(cells, file, names["time"])
    days = _daily(kept)
    how = (*table.reading.items(), ("unit", usual))
    return Series(file, days, len(kept), tuple(faults), duplicates, _gaps(days), how)


def as_readings(
    series: Series, *, point: Point, instrument: Instrument, bed_number: int = 1, every_days: int = 14
) -> tuple[Reading, ...]:
    """One reading for every `every_days` days: the median of the daily medians, on the day in their middle.

    Parameters
    ----------
    series : Series
    point : Point
        Where the sensor stands.
    instrument : Instrument
        The sensor; its calibrations and drift.
    bed_number : int
        Behind which bed [-].
    every_days : int
        Length of a block [days].

    Notes
    -----
    The days of a block have the same weather and use of the room, so a block counts as one reading, with the error
    of one; what lasts (gain since the calibration, the model's discrepancy at that point) is shared by all of them
    and by the visits' readings there.
    """
    blocks: dict[int, list[Day]] = {}
    for day in series.days:
        blocks.setdefault((day.on - series.days[0].on).days // every_days, []).append(day)
    readings = []
    for number, days in sorted(blocks.items()):
        middle = _median([-math.inf if day.median_ppm is None else day.median_ppm for day in days])
        limit = max(day.limit_ppm for day in days)
        seen = math.isfinite(middle) and middle >= limit
        readings.append(
            Reading(
                point,
                days[len(days) // 2].on,
                instrument,
                value_ppm=middle if seen else None,
                detection_limit_ppm=None if seen else max(limit, instrument.detection_limit_ppm),
                bed_number=bed_number,
                key=f"{series.file}:{number + 1}",
                series=series.file,
            )
        )
    return tuple(readings)


def _plain(header: str) -> str:
    return re.sub(r"\s*[(\[].*?[)\]]", "", header).strip().lower()


def _places(row: Sequence[str]) -> dict[str, int]:
    places: dict[str, int] = {}
    for place, cell in enumerate(row):
        column = _COLUMN.get(_plain(cell))
        if column:
            places.setdefault(column, place)
    if "time" not in places:
        alone = [column for column in ("date", "clock") if column in places]
        if alone:
            places["time"] = places.pop(alone[0])
    elif "clock" in places:
        del places["clock"]
    places.pop("date", None)
    return places


def _is_header(row: Sequence[str]) -> bool:
    return {"time", "value"} <= set(_places(row))


def _score(rows: list[list[str]]) -> int:
    return max((len(_places(row)) for row in rows), default=0)


def _unit_in(header: str) -> str:
    inside = re.search(r"[(\[](.*?)[)\]]", header)
    written = inside[1].strip() if inside else header.strip()
    return (
        written
        if written.lower().replace("µ", "u").replace("³", "3") in ("ppm", "ppb", "mg/m3", "ug/m3")
        else ""
    )


@dataclass(frozen=True, slots=True)
class _How:
    """How the cells of one file are read."""

    unit: str
    day_first: bool | None
    decimal: DecimalMark
    limit: float
    """[ppm]"""
    molar_mass: float
    """[g/mol]"""
    until: datetime.date | None
    value: Callable[..., tuple[float, bool]] = field(
        default_factory=lambda: lru_cache(_KNOWN_CELLS)(value_in_ppm)
    )


def _cell(number: int, row: Sequence[str], places: dict[str, int], names: dict[str, str], how: _How) -> _Cell:
    texts = {column: row[place].strip() if place < len(row) else "" for column, place in places.items()}
    written = texts["time"]
    if texts.get("clock") and ":" not in written:
        written = f"{written} {texts['clock']}"
    time = _time(written, how.day_first, names["time"])
    if how.until is not None and time.date() > how.until:
        mend = "Set the sensor's clock, or leave the row out."
        raise InputError(Problem("the time lies in the future", mend, column=names["time"], found=written))
    if not texts["value"]:
        raise InputError(
            Problem("the value is missing", "Leave it so, or fill it in.", column=names["value"])
        )
    unit = texts.get("unit") or how.unit
    try:
        value, below = how.value(texts["value"], unit, molar_mass_g_mol=how.molar_mass, decimal=how.decimal)
    except InputError:
        _check_unit(unit, names.get("unit", names["value"]))
        raise
    if value < -how.limit or (below and value < 0.0):
        mend = "Set the sensor's zero; leave an error code such as -999 out."
        raise InputError(
            Problem("the value is below zero", mend, column=names["value"], found=texts["value"])
        )
    limit = max(value, how.limit) if below else how.limit
    below = below or value < how.limit
    return _Cell(
        number,
        time.replace(tzinfo=None),
        -math.inf if below else value,
        limit if below else 0.0,
        time.utcoffset(),
    )


def _check_unit(unit: str, column: str) -> None:
    try:
        ppm_of(0.0, unit)
    except InputError as error:
        each = error.problems[0]
        raise InputError(Problem(each.what, each.mend, column=column, found=unit)) from None


def _time(text: str, day_first: bool | None, column: str) -> datetime.datetime:
    """A date and time; the day is that on the sensor's clock."""
    try:
        return datetime.datetime.fromisoformat(text)
    except ValueError:
        return _other_time(text, day_first, column)


def _other_time(text: str, day_first: bool | None, column: str) -> datetime.datetime:
    found = text
    match = _DAY_FIRST.fullmatch(text)
    if match:
        if day_first is None:
            mend = "Write the dates as 2026-03-04."
            raise InputError(Problem("day and month cannot be told apart", mend, column=column, found=text))
        day, month = (match[1], match[3]) if day_first else (match[3], match[1])
        text = f"{match[4]}-{month:0>2}-{day:0>2}{match[5]}"
    try:
        return datetime.datetime.fromisoformat(_full_clock(text))
    except ValueError:
        mend = "Write 2026-03-04 14:30."
        raise InputError(Problem("this is no date and time", mend, column=column, found=found)) from None


def _full_clock(text: str) -> str:
    """The same with two digits for the hour, on a clock of 24 hours; what is no time of day stays as it is."""
    match = _CLOCK.fullmatch(text)
    if match is None:
        return text
    hour, half = int(match[2]), (match[4] or "").lower()
    if half and 1 <= hour <= 12:
        hour = hour % 12 + (12 if half == "p" else 0)
    elif half:
        return text
    return f"{match[1]} {hour:02}{match[3]}{match[5] or ''}"


def _day_first(texts: Iterable[str]) -> bool | None:
    """Whether dates like 4.3.2026 lead with the day: by the point, or by a number over twelve; None: cannot tell."""
    found = [match for text in texts if (match := _DAY_FIRST.fullmatch(text.strip()))]
    if any(match[2] == "." or int(match[1]) > 12 for match in found):
        return True
    return False if any(int(match[3]) > 12 for match in found) else None


def _decimal(texts: Iterable[str]) -> DecimalMark:
    """The decimal mark, where some number in the file shows it beyond doubt."""
    written = list(texts)
    if any(re.fullmatch(r"\D*\d*\.\d+", text.strip()) for text in written):
        return "."
    return "," if any(re.fullmatch(r"\D*\d*,\d+", text.strip()) for text in written) else ""


def _once(cells: list[_Cell], file: str, column: str) -> tuple[list[_Cell], tuple[Problem, ...]]:
    """Each time and value once, in the order of time."""
    seen: dict[tuple[datetime.datetime, datetime.timedelta | None], _Cell] = {}
    kept, problems = [], []
    for cell in cells:
        first = seen.setdefault((cell.time, cell.zone), cell)
        if first is cell:
            kept.append(cell)
            continue
        same = first.ppm == cell.ppm
        what = f"the time stands in row {first.row} already, with {'the same' if same else 'another'} value"
        mend = "It was left out." if same else "Both were kept; check the sensor's clock."
        problems.append(Problem(what, mend, file, cell.row, column, cell.time.isoformat(" ")))
        if not same:
            kept.append(cell)
    return sorted(kept, key=lambda cell: cell.time), tuple(problems)


def _daily(cells: list[_Cell]) -> tuple[Day, ...]:
    """A median that does not reach the largest limit of its day is below that: nobody saw more."""
    by_day: dict[datetime.date, list[_Cell]] = {}
    for cell in cells:
        by_day.setdefault(cell.time.date(), []).append(cell)
    days = []
    for on, those in by_day.items():
        middle, limit = _median([cell.ppm for cell in those]), max(cell.limit for cell in those)
        seen = math.isfinite(middle) and middle >= limit
        days.append(Day(on, middle if seen else None, len(those), 0.0 if seen else limit))
    return tuple(days)


def _median(values: list[float]) -> float:
    """The median; where "below" and a number share the middle, below."""
    return float(np.quantile(values, 0.5, method="lower" if -math.inf in values else "linear"))


def _gaps(days: Sequence[Day]) -> tuple[tuple[datetime.date, datetime.date], ...]:
    one = datetime.timedelta(days=1)
    return tuple(
        (before.on + one, after.on - one)
        for before, after in pairwise(days)
        if (after.on - before.on).days > _GAP_DAYS
    )
