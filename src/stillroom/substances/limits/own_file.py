"""The file of a user's own list of limits: a head in TOML behind #, then a table in CSV, a row a limit.

::

    # key = "works-2026"
    # title = "Limits of the works (invented)"
    # edition = "March 2026"
    # source = "Works agreement 12, annex 3"
    cas,name,basis,value,unit,notations,locator
    108-88-3,Toluene,TWA,20,ppm,skin,page 4
"""

from __future__ import annotations

import csv
import io
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from stillroom.errors import InputError, Problem
from stillroom.substances.identity import check_digit
from stillroom.substances.limits.model import COUNTED_AS, Entry, LimitList
from stillroom.units import QuantityError, parse_number

__all__ = ["COLUMNS", "Row", "parse"]

COLUMNS = ("cas", "name", "basis", "value", "unit", "notations", "locator")
_OPTIONAL = ("minutes", "measured_as", "fraction", "note")
_NEEDED = ("cas", "basis", "value", "unit")
_HEAD = ("key", "title", "edition", "source")
_HEAD_OPTIONAL = ("jurisdiction", "authority", "valid_from", "rights", "note")
_TIMES = ("twa_minutes", "stel_minutes")
_KEY = re.compile(r"[a-z][a-z0-9-]{1,29}")
_BASES = {"TWA": "twa", "STEL": "stel", "C": "ceiling"}
_UNITS = {"ppm": "ppm", "mg/m3": "mg/m3", "mg/m³": "mg/m3", "ug/m3": "ug/m3", "µg/m³": "ug/m3", "μg/m³": "ug/m3"}  # fmt: skip
_NOTATIONS = {"skin": "skin", "carcinogen": "ca", "ca": "ca", "sensitiser": "sen", "sen": "sen",
              "lowest feasible": "lf", "lf": "lf"}  # fmt: skip
_FRACTIONS = ("", "total", "inhalable", "respirable", "fume", "dust")
_LARGEST, _MOST_ROWS = 2_000_000, 20_000


@dataclass(frozen=True, slots=True)
class Row:
    """One limit of the file, and the row that it stands in."""

    number: int
    entry: Entry
    basis: str
    value: float
    unit: str


def parse(content: bytes, *, file: str) -> tuple[LimitList, tuple[Row, ...]]:
    """The list and its limits.

    Parameters
    ----------
    content : bytes
        UTF-8 (with or without mark) or Windows-1252; comma, semicolon or tab; a decimal comma is understood.
    file : str
        Its name, for messages.

    Raises
    ------
    InputError
        Every fault of the head and of the table, each with its row, column and mend.
    """
    if len(content) > _LARGEST:
        raise InputError(Problem("is larger than 2 MB", "Is it the right file?", file=file))
    text = _text(content, file)
    head, header, lines = _parts(text, file)
    problems: list[Problem] = []
    fields = _head(head, file, problems)
    columns = _columns(header, file, problems)
    rows = [] if problems else _rows(columns, lines, file, problems)
    if not problems and not rows:
        problems.append(Problem("the table holds no limit", "Add a row a limit under the header.", file=file))
    if problems:
        raise InputError(problems)
    return LimitList(own=True, file=file, **fields), tuple(rows)


def _text(content: bytes, file: str) -> str:
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise InputError(Problem("is no text in UTF-8", "Save it as CSV in UTF-8.", file=file))


def _parts(text: str, file: str) -> tuple[list[tuple[int, str]], tuple[int, list[str]], list[tuple[int, list[str]]]]:  # fmt: skip
    """The head's lines, the header, the rows; each with the number of its line. A spreadsheet may have quoted the head."""
    first = next((line for line in text.splitlines() if line.strip() and line.lstrip(' "')[:1] != "#"), "")
    mark = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    head: list[tuple[int, str]] = []
    table: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            if not any(cell.strip() for cell in cells):
                continue
            if cells[0].lstrip().startswith("#"):
                line = mark.join(cells).strip().rstrip(mark).lstrip("#")
                if not table and not cells[0].lstrip().startswith("##"):
                    head.append((reader.line_num, line.strip()))
            else:
                table.append((reader.line_num, [cell.strip() for cell in cells]))
            if len(table) > _MOST_ROWS:
                raise InputError(
                    Problem(f"has more than {_MOST_ROWS} rows", "Part it into lists.", file=file)
                )
    except csv.Error as error:
        raise InputError(
            Problem(f"is no table ({error})", "Save it as CSV in UTF-8.", file=file, row=reader.line_num)
        ) from None
    if not table:
        raise InputError(
            Problem("there is no header", f"Write it above the rows: {','.join(COLUMNS)}", file=file)
        )
    return head, table[0], table[1:]


def _head(lines: list[tuple[int, str]], file: str, problems: list[Problem]) -> dict[str, Any]:
    given: dict[str, Any] = {}
    for number, line in lines:
        try:
            given |= tomllib.loads(line)
        except tomllib.TOMLDecodeError:
            mend = 'Write it like # title = "…", or begin a remark with ##.'
            problems.append(Problem("this line of the head is no TOML", mend, file=file, row=number, found=line[:60]))  # fmt: skip
    for name in _HEAD:
        if not isinstance(given.get(name), str) or not given[name].strip():
            mend = f'Write # {name} = "…" above the table.'
            problems.append(Problem(f"the head does not say its {name}", mend, file=file, column=name))
    for name in given:
        if name not in (*_HEAD, *_HEAD_OPTIONAL, *_TIMES):
            mend = f"Use {', '.join((*_HEAD, *_HEAD_OPTIONAL, *_TIMES))}, or begin a remark with ##."
            problems.append(Problem("the head knows no such name", mend, file=file, column=name))
    key = given.get("key")
    if isinstance(key, str) and key.strip() and (not _KEY.fullmatch(key) or key in ("by-hand", "groups")):
        mend = "Use 2 to 30 small letters, digits and hyphens, like works-2026."
        problems.append(Problem("cannot be a key", mend, file=file, column="key", found=key))
    for name in _TIMES:
        if name in given and not (isinstance(given[name], int | float) and 0 < given[name] <= 1440):
            mend = "Write minutes, like 480."
            problems.append(Problem("is no averaging time", mend, file=file, column=name, found=str(given[name])))  # fmt: skip
    for name in (*_HEAD, *_HEAD_OPTIONAL):
        if name in given and not isinstance(given[name], str):
            problems.append(Problem("is no text", "Put it in quotes.", file=file, column=name, found=str(given[name])))  # fmt: skip
    texts = {name: str(given.get(name, "")).strip() for name in (*_HEAD, *_HEAD_OPTIONAL)}
    times = {name: float(given[name]) for name in _TIMES if isinstance(given.get(name), int | float)}
    return texts | {"locator": ""} | times


def _columns(header: tuple[int, list[str]], file: str, problems: list[Problem]) -> list[str]:
    number, cells = header
    names = [cell.casefold().replace(" ", "_") for cell in cells]
    for name in _NEEDED:
        if name not in names:
            mend = f"The header is {','.join(COLUMNS)}; locator, name and notations may be left out."
            problems.append(Problem("there is no such column", mend, file=file, row=number, column=name))
    for name, cell in zip(names, cells, strict=True):
        if cell and name not in (*COLUMNS, *_OPTIONAL):
            mend = f"Use {', '.join((*COLUMNS, *_OPTIONAL))}, or take the column out."
            problems.append(Problem("no such column is known", mend, file=file, row=number, column=cell))
        if cell and names.count(name) > 1:
            problems.append(Problem("this column stands twice", "Keep one.", file=file, row=number, column=cell))  # fmt: skip
    return names


def _rows(
    columns: list[str], lines: list[tuple[int, list[str]]], file: str, problems: list[Problem]
) -> list[Row]:
    rows: list[Row] = []
    first: dict[tuple[str, ...], int] = {}
    for number, cells in lines:
        if len(cells) > len(columns) and any(cells[len(columns) :]):
            mend = "Put a text that holds the separator in quotes."
            problems.append(Problem("has more cells than the header", mend, file=file, row=number))
            continue
        given = {name: cell for name, cell in zip(columns, cells, strict=False) if name}
        faults: list[Problem] = []
        row = _row(number, given, file, faults)
        problems += faults
        if row is None:
            continue
        twin = (*(row.entry[name] for name in ("cas", "fraction", "measured_as")), row.basis)
        if twin in first:
            mend = "Keep one of them."
            problems.append(Problem(f"row {first[twin]} has the same limit", mend, file=file, row=number, column="basis", found=f"{twin[0]} {row.basis}"))  # fmt: skip
        first.setdefault(twin, number)
        rows.append(row)
    return rows


def _row(number: int, given: Mapping[str, str], file: str, faults: list[Problem]) -> Row | None:
    def fault(column: str, what: str, mend: str) -> None:
        faults.append(Problem(what, mend, file=file, row=number, column=column, found=given.get(column, "")))

    cas = re.sub(r"[‐‑‒–—−]", "-", given.get("cas", ""))
    if not check_digit(cas):
        fault("cas", "is not a CAS number", "Write it like 67-64-1; check the last digit.")
    basis = given.get("basis", "").upper()
    if basis not in _BASES:
        fault("basis", "is not a basis of a limit", "Use TWA, STEL or C (ceiling).")
    value = _value(given.get("value", ""), fault)
    unit = _UNITS.get(given.get("unit", "").casefold().replace(" ", ""), "")
    if not unit:
        fault("unit", "is not a unit of a limit", "Use ppm, mg/m3 or ug/m3.")
    fraction, counted = given.get("fraction", "").casefold(), given.get("measured_as", "")
    if fraction not in _FRACTIONS:
        fault("fraction", "is not a fraction of dust", f"Use {', '.join(_FRACTIONS[1:])}, or nothing.")
    if unit == "ppm" and (fraction or counted):
        fault("unit", "dust and what is counted as an element have no ppm", "Use mg/m3.")
    if counted and counted not in COUNTED_AS:
        fault("measured_as", "is not known", f"Use one of {', '.join(COUNTED_AS)}, or nothing.")
    marks = [
        word.strip().casefold() for word in re.split(r"[;,/]", given.get("notations", "")) if word.strip()
    ]
    if any(word not in _NOTATIONS for word in marks):
        fault(
            "notations", "is not known", "Use skin, carcinogen, sensitiser, lowest feasible; with ; between."
        )
    minutes = given.get("minutes", "")
    if minutes and not (re.fullmatch(r"\d{1,4}(\.\d+)?", minutes) and 0 < float(minutes) <= 1440):
        fault("minutes", "is no averaging time", "Write minutes, like 15.")
    if faults or value is None:
        return None
    entry = dict.fromkeys(("twa", "stel", "ceiling"), "") | {
        "cas": cas,
        "name": given.get("name", "") or cas,
        "unit": unit,
        _BASES[basis]: repr(value),
        "minutes": minutes,
        "measured_as": counted,
        "fraction": fraction,
        "notations": " ".join(dict.fromkeys(_NOTATIONS[word] for word in marks)),
        "locator": given.get("locator", "") or f"row {number}",
        "note": given.get("note", ""),
    }
    return Row(number, MappingProxyType(entry), basis, value, unit)


def _value(text: str, fault: Any) -> float | None:
    try:
        value = parse_number(text)
    except QuantityError as error:
        what, _, mend = str(error).partition(". ")
        fault("value", what, mend)
        return None
    if value <= 0:
        fault("value", "is not above zero", "Write it like 2.5; leave out what has no number.")
        return None
    return value
