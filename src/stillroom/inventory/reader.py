"""A file, or the rows of a form, to an `Inventory`: every wrong row at once, nothing half-taken."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from pathlib import Path

from stillroom.errors import InputError, Problem
from stillroom.inventory.header import Header, find_header, remarks_on, score, trimmed
from stillroom.inventory.model import Container, Inventory
from stillroom.inventory.rows import Layout, Row, container_of
from stillroom.inventory.tables import MOST_BYTES, Table, open_table
from stillroom.inventory.words import COLUMNS, column_of, unit_in_header
from stillroom.units import DecimalMark

__all__ = ["as_written", "cells", "from_rows", "read", "read_bytes"]

_MOST_ROWS = 5000
_TOTAL = re.compile(
    r"(?:grand |sub-?)?totals?\b.*|sum|summe|gesamt\w*|zwischensumme|somme|total g[ée]n[ée]ral|suma", re.I
)
_ROW = "Write a header row (name, cas, amount, unit, …) and under it a row for each kind of container."


def read(path: str | Path) -> Inventory:
    """The inventory in a CSV or XLSX file.

    Parameters
    ----------
    path : str or Path
        The file.

    Raises
    ------
    InputError
        The file cannot be read, or rows in it are wrong: every `Problem`, with file, row, column and mend.
    """
    path = Path(path)
    try:
        if path.stat().st_size > MOST_BYTES:
            size = path.stat().st_size / 1e6
            raise InputError(
                Problem(f"the file is {size:.1f} MB; 10 MB is the most", "Save only the list.", path.name)
            )
        data = path.read_bytes()
    except OSError as error:
        why = error.strerror or type(error).__name__
        mend = "Check the name of the file and that it may be read."
        raise InputError(Problem(f"the file could not be opened ({why})", mend, str(path))) from None
    return read_bytes(data, path.name)


def read_bytes(data: bytes, file_name: str) -> Inventory:
    """The inventory in the contents of a file, whose name says what it should be.

    Parameters
    ----------
    data : bytes
        The contents.
    file_name : str
        The name, ending in .csv, .txt, .tsv or .xlsx.

    Raises
    ------
    InputError
        As `read`.
    """
    table = open_table(data, file_name, score)
    return _inventory(table, file_name, hashlib.sha256(data).hexdigest())


def cells(data: bytes, file_name: str) -> dict[int, list[str]]:
    """The cells of a file as text, by row number of a spreadsheet, whatever they mean.

    Parameters
    ----------
    data : bytes
        The contents.
    file_name : str
        The name, ending in .csv, .txt, .tsv or .xlsx.

    Raises
    ------
    InputError
        The file is no table.
    """
    return dict(open_table(data, file_name, score).rows)


def as_written(data: bytes, file_name: str) -> list[dict[str, str]]:
    """The rows of a file by our columns, as somebody wrote them, for a form to go on from; totals are left out.

    A unit that stands in the header of the amounts, and a per cent in that of the strengths, goes into the rows.

    Parameters
    ----------
    data : bytes
        The contents.
    file_name : str
        The name, ending in .csv, .txt, .tsv or .xlsx.

    Raises
    ------
    InputError
        The file is no table, or has no header row.
    """
    table = open_table(data, file_name, score)
    header = find_header(table, file_name)
    headers = {column: header.cells[place] for column, place in header.places.items()}
    unit = unit_in_header(headers.get("amount", ""))
    per_cent = " %" if "%" in headers.get("concentration", "") else ""
    found = []
    for _, row in table.rows[header.index + 1 :]:
        cells = {
            column: row[place].strip() if place < len(row) else "" for column, place in header.places.items()
        }
        if not any(cells.values()) or _is_total(cells):
            continue
        if unit and cells.get("amount") and not cells.get("unit"):
            cells["unit"] = unit
        if per_cent and cells.get("concentration", "")[-1:].isdigit():
            cells["concentration"] += per_cent
        found.append(cells)
    return found


def from_rows(rows: Sequence[Mapping[str, str]], *, name: str) -> Inventory:
    """The inventory in rows whose keys are headers, as a form gives them; rows count from 1.

    Parameters
    ----------
    rows : sequence of mapping
        One mapping a row; keys as in a file's header row.
    name : str
        What to call the inventory in messages.

    Raises
    ------
    InputError
        As `read`.
    """
    headers = list(dict.fromkeys(key for row in rows for key in row))
    cells = [[str(row.get(header) or "") for header in headers] for row in rows]
    canonical = json.dumps([headers, *cells], ensure_ascii=False, separators=(",", ":"))
    used = [place for place, header in enumerate(headers)
            if column_of(header) or any(row[place].strip() for row in cells)]  # fmt: skip
    table = Table(
        tuple(enumerate([row[place] for place in used] for row in [headers, *cells])), {"file": "form"}
    )
    return _inventory(table, name, hashlib.sha256(canonical.encode()).hexdigest())


def _inventory(table: Table, file: str, sha256: str) -> Inventory:
    header = find_header(table, file)
    width = len(header.cells)
    warnings = list(table.warnings) + remarks_on(table, header)
    below = [
        (number, row) for number, row in table.rows[header.index + 1 :] if any(cell.strip() for cell in row)
    ]
    if len(below) > _MOST_ROWS:
        raise InputError(
            Problem(f"there are {len(below)} rows; {_MOST_ROWS} is the most", "Split the list.", file)
        )
    problems: list[Problem] = []
    listed: list[tuple[int, dict[str, str]]] = []
    for number, row in below:
        cells = {column: row[place] if place < len(row) else "" for column, place in header.places.items()}
        if _is_total(cells):
            warnings.append(f"row {number} is a total and was skipped")
        elif table.ragged and (ragged := _ragged(row, width, number, file)):
            problems.append(ragged)
        else:
            listed.append((number, cells))
    layout = _layout(header, [cells for _, cells in listed], file)
    containers: list[Container] = []
    for number, cells in listed:
        line = Row(number, cells, layout)
        container = container_of(line)
        problems.extend(line.problems)
        warnings.extend(f"row {number}: {remark}" for remark in line.remarks)
        if container:
            containers.append(container)
    if problems:
        raise InputError(sorted(problems, key=lambda problem: problem.row or 0))
    if not containers:
        raise InputError(Problem("there is a header row and nothing under it", _ROW, file))
    return Inventory(tuple(containers), file, sha256, _reading(table, header, layout), tuple(warnings))


def _is_total(cells: Mapping[str, str]) -> bool:
    first = next((text.strip() for text in cells.values() if text.strip()), "")
    return not cells.get("cas", "").strip() and bool(
        _TOTAL.fullmatch(cells.get("name", "").strip(" :") or first)
    )


def _ragged(row: list[str], width: int, number: int, file: str) -> Problem | None:
    """A row of another length than the header: cells may have slipped into a neighbour's column."""
    if len(trimmed(row)) > width:
        mend = "Put quotation marks around a cell that holds the separator (2,5 among commas), or save with semicolons."
        what = f"the row has {len(trimmed(row))} cells and the header {width}"
        return Problem(what, mend, file, number, found=row[width].strip()[:120])
    if len(row) < width:
        what = f"the row has {len(row)} cells and the header {width}"
        return Problem(what, "Fill the row to the end; an empty cell still has its separator.", file, number)
    return None


def _layout(header: Header, rows: list[dict[str, str]], file: str) -> Layout:
    headers = {column: header.cells[place] for column, place in header.places.items()}
    return Layout(
        file=file,
        headers=headers,
        unit=unit_in_header(headers.get("amount", "")),
        concentration_unit="%" if "%" in headers.get("concentration", "") else "",
        decimal=_decimal_mark(rows),
    )


def _decimal_mark(rows: list[dict[str, str]]) -> DecimalMark:
    """The mark that numbers show beyond doubt (2,5 or 1.234,5), empty where none or both do."""
    texts = [
        row.get(column, "")
        for row in rows
        for column in ("amount", "concentration", "purity", "opened_per_week", "count")
    ]
    numbers = [number for text in texts for number in re.findall(r"\d[\d.,]*\d", text)]
    comma = r"\d+,(?:\d{1,2}|\d{4,})|0,\d+|[\d.]+\.\d{3},\d+"
    point = r"\d+\.(?:\d{1,2}|\d{4,})|0\.\d+|[\d,]+,\d{3}\.\d+"
    commas = any(re.fullmatch(comma, number) for number in numbers)
    points = any(re.fullmatch(point, number) for number in numbers)
    return "" if commas == points else "," if commas else "."


def _reading(table: Table, header: Header, layout: Layout) -> dict[str, str]:
    reading = {column: layout.headers[column] for column in (*COLUMNS, "purity") if column in header.places}
    if layout.unit and "unit" not in reading:
        reading["unit"] = f"from the header “{layout.headers['amount']}”"
    marks: dict[str, str] = {".": "point", ",": "comma", "": "not evident"}
    return {
        **reading,
        **table.reading,
        "decimal mark": marks[layout.decimal],
        "header row": str(table.rows[header.index][0]),
    }
