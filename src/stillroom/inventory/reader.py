"""INVENTORY files to an `Inventory`: every wrong row is reported at once, and nothing is half taken."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from pathlib import Path

from stillroom.errors import InputError, Problem
from stillroom.inventory.headers import COLUMNS, columns_of
from stillroom.inventory.model import Container, Inventory
from stillroom.inventory.rows import DecimalMark, Row, container_of, decimal_mark
from stillroom.inventory.sheets import Sheet, sheet_of

__all__ = ["from_rows", "read", "read_bytes"]

_HEADER_WITHIN = 10


def read(path: Path | str) -> Inventory:
    """An inventory from a CSV or XLSX file.

    Raises
    ------
    InputError
        The file cannot be read, or rows are wrong; every fault with row, column, what was found, and the mend.
    """
    path = Path(path)
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputError(
            Problem(f"cannot be read ({error.strerror})", "Check the path.", file=str(path))
        ) from None
    return read_bytes(data, path.name)


def read_bytes(data: bytes, file_name: str) -> Inventory:
    """An inventory from the bytes of a file; errors as `read`."""
    sheet = sheet_of(data, file_name)
    return _inventory(sheet, file_name, hashlib.sha256(data).hexdigest())


def from_rows(rows: Sequence[Mapping[str, str]], *, name: str) -> Inventory:
    """An inventory from rows keyed by column name (name, cas, amount, …); errors as `read`."""
    header = tuple(column for column in COLUMNS if any(row.get(column) for row in rows))
    table = (header, *(tuple(str(row.get(column) or "") for column in header) for row in rows))
    digest = hashlib.sha256(json.dumps(table, ensure_ascii=False).encode()).hexdigest()
    return _inventory(Sheet(table, tuple(range(len(table))), {}), name, digest)


def _inventory(sheet: Sheet, file_name: str, digest: str) -> Inventory:
    start, columns, unused, warnings = _header(sheet, file_name)
    width = len(sheet.rows[start])
    rows, problems = [], []
    for cells, number in zip(sheet.rows[start + 1 :], sheet.numbers[start + 1 :], strict=True):
        if not any(cell.strip() for cell in cells):
            continue
        extra = [cell for cell in cells[width:] if cell.strip()]
        if extra:
            mend = "Put cells that hold the separator in quotes, or remove what is too much."
            problems.append(
                Problem("has more cells than the header", mend, file=file_name, row=number, found=extra[0])
            )
            continue
        values = {column: cells[place].strip() for place, column in columns.items() if place < len(cells)}
        if not any(values.values()) or _is_total(values):
            warnings.append(f"row {number} was passed over: it names no container")
            continue
        rows.append(
            Row(
                number,
                values,
                {column: sheet.rows[start][place].strip() for place, column in columns.items()},
            )
        )
    if not rows and not problems:
        raise InputError(Problem("has a header and no rows", "Add a row for each container.", file=file_name))
    mark: DecimalMark = decimal_mark([row.values.get("amount", "") for row in rows])
    containers: list[Container] = []
    for row in rows:
        faults, container, remarks = container_of(row, file_name=file_name, decimal=mark)
        problems.extend(faults)
        warnings.extend(remarks)
        if container is not None:
            containers.append(container)
    if problems:
        raise InputError(sorted(problems, key=lambda problem: problem.row or 0))
    reading = {column: sheet.rows[start][place].strip() for place, column in columns.items()}
    reading.update(sheet.reading)
    if mark:
        reading["decimal mark"] = "comma" if mark == "," else "point"
    if unused:
        warnings.append(f"columns that were not read: {', '.join(unused)}")
    return Inventory(tuple(containers), file_name, digest, reading, tuple(warnings))


def _is_total(values: Mapping[str, str]) -> bool:
    return values.get("name", "").strip().lower().rstrip(":") in (
        "total",
        "totals",
        "sum",
        "summe",
        "gesamt",
    ) and not values.get("cas")


def _header(sheet: Sheet, file_name: str) -> tuple[int, dict[int, str], list[str], list[str]]:
    """Where the header is, its columns, the headers not used, and a remark on lines above it."""
    for start, cells in enumerate(sheet.rows[: _HEADER_WITHIN + 1]):
        if not any(cell.strip() for cell in cells):
            continue
        found = columns_of(cells, file_name=file_name, row=sheet.numbers[start])
        if found is None:
            continue
        columns, unused = found
        above = sum(1 for row in sheet.rows[:start] if any(cell.strip() for cell in row))
        warnings = [f"{above} line(s) above the header were passed over"] if above else []
        if "amount" not in columns.values():
            raise InputError(
                Problem(
                    "no column gives the size of a container",
                    "Add a column “amount”, like 2.5 L.",
                    file=file_name,
                    row=sheet.numbers[start],
                )
            )
        return start, columns, unused, warnings
    first = next((row for row in sheet.rows if any(cell.strip() for cell in row)), ("",))
    raise InputError(
        Problem(
            "no header was found in the first lines",
            "Write a first line with at least: name (or CAS number), amount, unit.",
            file=file_name,
            row=1,
            found="; ".join(first)[:60],
        )
    )
