"""The header row: where it is, and which column of ours each header names."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from stillroom.errors import InputError, Problem
from stillroom.inventory.sizes import parse_count, parse_size
from stillroom.inventory.tables import Table
from stillroom.inventory.words import column_of
from stillroom.units import QuantityError

__all__ = ["Header", "find_header", "remarks_on", "score", "trimmed"]

_LINES_ABOVE = 10
_SAMPLE = 50
"""Rows under the header whose content is looked at."""
_BY_CONTENT = ("name or count", "container or amount or count")


def score(rows: list[list[str]]) -> int:
    """How many columns of ours the best of these rows names."""
    return max((len({column_of(cell) for cell in row} - {""}) for row in rows), default=0)


@dataclass(frozen=True, slots=True)
class Header:
    index: int
    cells: list[str]
    places: dict[str, int]
    """column of ours -> position"""
    ignored: tuple[str, ...]


def find_header(table: Table, file: str) -> Header:
    """The first row that names two columns of ours, one of them the name or the CAS number."""
    tried = [(index, row) for index, (_, row) in enumerate(table.rows) if any(cell.strip() for cell in row)]
    for index, row in tried[: _LINES_ABOVE + 1]:
        columns = [column_of(cell) for cell in row]
        if {"name", "cas", "name or count"} & set(columns) and len(set(columns) - {""}) >= 2:
            return _assign(table, index, columns, file)
    first = table.rows[tried[0][0]] if tried else (1, [])
    found = "; ".join(cell.strip() for cell in first[1] if cell.strip())[:120]
    what = f"no header row was recognised in the first {_LINES_ABOVE + 1} lines"
    mend = "Name the columns in the first row: name, cas, amount, unit (and count, state, concentration, closure)."
    raise InputError(Problem(what, mend, file, first[0], found=found))


def _assign(table: Table, index: int, columns: list[str], file: str) -> Header:
    """Each column of ours to one header; two headers for one are a fault."""
    number, row = table.rows[index]
    _settle(columns, [cells for _, cells in table.rows[index + 1 : index + 1 + _SAMPLE]])
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
    return Header(index, [cell.strip() for cell in trimmed(row)], places, tuple(ignored))


def _settle(columns: list[str], below: list[list[str]]) -> None:
    """Give each header that may mean several columns one of them, in place: what is free, and fits what stands under it.

    French "Nombre" counts and Spanish "Nombre" names; German "Gebinde" is a size (2,5 L), a number, or a kind of container.
    """
    by_content = [place for place, column in enumerate(columns) if column in _BY_CONTENT]
    by_others = [place for place, column in enumerate(columns) if column == "amount or count"]
    for place in by_content:
        options = columns[place].split(" or ")
        cells = [row[place].strip() for row in below if place < len(row) and row[place].strip()]
        fits = "count" if _all(cells, parse_count) else "amount" if _all(cells, parse_size) else ""
        free = fits in options and fits not in columns
        columns[place] = fits if free else options[0]
    for place in by_others:
        columns[place] = "count" if "amount" in columns else "amount"


def _all(cells: list[str], parse: Callable[[str], object]) -> bool:
    """Whether there are cells and all of them read so."""
    for cell in cells:
        try:
            parse(cell)
        except QuantityError:
            return False
    return bool(cells)


def trimmed(row: list[str]) -> list[str]:
    return row[: max((place + 1 for place, cell in enumerate(row) if cell.strip()), default=0)]


def remarks_on(table: Table, header: Header) -> list[str]:
    warnings = []
    above = [number for number, row in table.rows[: header.index] if any(cell.strip() for cell in row)]
    if above:
        warnings.append(f"skipped above the header: row {', '.join(map(str, above))}")
    if header.ignored:
        warnings.append(f"not recognised and not read: {', '.join(header.ignored)}")
    return warnings
