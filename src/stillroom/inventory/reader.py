"""A file, or the rows of a form, to an `Inventory`: every wrong row at once, nothing half-taken."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from stillroom.errors import InputError, Problem
from stillroom.inventory.model import Container, Inventory
from stillroom.inventory.rows import Layout, Row, container_of
from stillroom.inventory.tables import MOST_BYTES, Table, open_table
from stillroom.inventory.words import COLUMNS, column_of, unit_in_header
from stillroom.units import DecimalMark

__all__ = ["from_rows", "read", "read_bytes"]

_LINES_ABOVE = 10
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
    table = open_table(data, file_name, _score)
    return _inventory(table, file_name, hashlib.sha256(data).hexdigest())


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


def _score(rows: list[list[str]]) -> int:
    """How many columns of ours the best of these rows names."""
    return max((len({column_of(cell) for cell in row} - {""}) for row in rows), default=0)


@dataclass(frozen=True, slots=True)
class _Header:
    index: int
    cells: list[str]
    places: dict[str, int]
    """column of ours -> position"""
    ignored: tuple[str, ...]


def _inventory(table: Table, file: str, sha256: str) -> Inventory:
    header = _header(table, file)
    width = len(header.cells)
    warnings = list(table.warnings) + _on_header(table, header)
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


def _header(table: Table, file: str) -> _Header:
    """The first row that names two columns of ours, one of them the name or the CAS number."""
    tried = [(index, row) for index, (_, row) in enumerate(table.rows) if any(cell.strip() for cell in row)]
    for index, row in tried[: _LINES_ABOVE + 1]:
        columns = [column_of(cell) for cell in row]
        if {"name", "cas"} & set(columns) and len(set(columns) - {""}) >= 2:
            return _assign(table, index, columns, file)
    first = table.rows[tried[0][0]] if tried else (1, [])
    found = "; ".join(cell.strip() for cell in first[1] if cell.strip())[:120]
    what = f"no header row was recognised in the first {_LINES_ABOVE + 1} lines"
    mend = "Name the columns in the first row: name, cas, amount, unit (and count, state, concentration, closure)."
    raise InputError(Problem(what, mend, file, first[0], found=found))


def _assign(table: Table, index: int, columns: list[str], file: str) -> _Header:
    """Each column of ours to one header; two headers for one are a fault."""
    number, row = table.rows[index]
    definite = {column for column in columns if column in COLUMNS}
    for place, column in enumerate(columns):
        if column == "amount or count":
            columns[place] = "count" if "amount" in definite else "amount"
            definite.add(columns[place])
    problems = []
    places: dict[str, int] = {}
    for place, column in enumerate(columns):
        if column and column in places:
            one, two = row[places[column]].strip(), row[place].strip()
            what = f"the headers “{one}” and “{two}” both mean the column {column}"
            problems.append(Problem(what, "Delete or rename one of them.", file, number, two))
        elif column:
            places[column] = place
    if "amount" not in places:
        headers = ", ".join(cell.strip() for cell in row if cell.strip())
        mend = "Add a column “amount” with the size of one container, like 2.5 L."
        problems.append(
            Problem("no column holds the size of a container", mend, file, number, found=headers[:200])
        )
    if problems:
        raise InputError(problems)
    ignored = []
    for place in range(max(len(cells) for _, cells in table.rows[index:])):
        if place in places.values():
            continue
        name = row[place].strip() if place < len(row) else ""
        if name:
            ignored.append(f"“{name}”")
        elif place < len(row) and any(
            place < len(cells) and cells[place].strip() for _, cells in table.rows[index:]
        ):
            ignored.append(f"column {place + 1}, which has no header")
    return _Header(index, [cell.strip() for cell in _trimmed(row)], places, tuple(ignored))


def _trimmed(row: list[str]) -> list[str]:
    return row[: max((place + 1 for place, cell in enumerate(row) if cell.strip()), default=0)]


def _on_header(table: Table, header: _Header) -> list[str]:
    warnings = []
    above = [number for number, row in table.rows[: header.index] if any(cell.strip() for cell in row)]
    if above:
        warnings.append(f"skipped above the header: row {', '.join(map(str, above))}")
    if header.ignored:
        warnings.append(f"not recognised and not read: {', '.join(header.ignored)}")
    return warnings


def _is_total(cells: Mapping[str, str]) -> bool:
    first = next((text.strip() for text in cells.values() if text.strip()), "")
    return not cells.get("cas", "").strip() and bool(
        _TOTAL.fullmatch(cells.get("name", "").strip(" :") or first)
    )


def _ragged(row: list[str], width: int, number: int, file: str) -> Problem | None:
    """A row of another length than the header: cells may have slipped into a neighbour's column."""
    if len(_trimmed(row)) > width:
        mend = "Put quotation marks around a cell that holds the separator (2,5 among commas), or save with semicolons."
        what = f"the row has {len(_trimmed(row))} cells and the header {width}"
        return Problem(what, mend, file, number, found=row[width].strip()[:120])
    if len(row) < width:
        what = f"the row has {len(row)} cells and the header {width}"
        return Problem(what, "Fill the row to the end; an empty cell still has its separator.", file, number)
    return None


def _layout(header: _Header, rows: list[dict[str, str]], file: str) -> Layout:
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
        for column in ("amount", "concentration", "opened_per_week", "count")
    ]
    numbers = [number for text in texts for number in re.findall(r"\d[\d.,]*\d", text)]
    comma = r"\d+,(?:\d{1,2}|\d{4,})|0,\d+|[\d.]+\.\d{3},\d+"
    point = r"\d+\.(?:\d{1,2}|\d{4,})|0\.\d+|[\d,]+,\d{3}\.\d+"
    commas = any(re.fullmatch(comma, number) for number in numbers)
    points = any(re.fullmatch(point, number) for number in numbers)
    return "" if commas == points else "," if commas else "."


def _reading(table: Table, header: _Header, layout: Layout) -> dict[str, str]:
    reading = {column: layout.headers[column] for column in COLUMNS if column in header.places}
    if layout.unit and "unit" not in reading:
        reading["unit"] = f"from the header “{layout.headers['amount']}”"
    marks: dict[str, str] = {".": "point", ",": "comma", "": "not evident"}
    return {
        **reading,
        **table.reading,
        "decimal mark": marks[layout.decimal],
        "header row": str(table.rows[header.index][0]),
    }
