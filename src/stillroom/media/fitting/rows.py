"""Rows of a CSV table: numbers by column, every fault with its row, column and mend."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable, Mapping

import numpy as np
from numpy.typing import NDArray

from stillroom.errors import InputError, Problem
from stillroom.substances import check_digit
from stillroom.units import DecimalMark, QuantityError, parse_number

__all__ = ["CHECKS", "Rows", "cas_faults", "columns_of", "read_table"]

Array = NDArray[np.float64]
Rows = list[tuple[int, dict[str, str]]]
"""Line number in the file and cells by column."""

_COLDEST, _HOTTEST = 150.0, 700.0


def read_table(text: str, *, file: str, needed: tuple[str, ...]) -> Rows:
    """Rows of a CSV table with their line numbers; comma, semicolon or tab.

    Parameters
    ----------
    text, file : str
        The table, and how messages name it.
    needed : tuple of str
        Columns that must be there.

    Raises
    ------
    InputError
        There is no row, or a column is missing.
    """
    first = text.lstrip("\ufeff").split("\n", 1)[0]
    delimiter = max(",;\t", key=first.count)
    reader = csv.DictReader(io.StringIO(text.lstrip("\ufeff")), delimiter=delimiter)
    names = [str(name).strip() for name in reader.fieldnames or ()]
    missing = [name for name in needed if name not in names]
    if missing:
        raise InputError(
            [
                Problem("this column is missing", f"Name the columns {', '.join(needed)}.", file=file, row=1, column=name)
                for name in missing
            ]
        )  # fmt: skip
    reader.fieldnames = names
    rows = [
        (reader.line_num, {name: str(cell or "").strip() for name, cell in row.items() if name is not None})
        for row in reader
    ]
    rows = [(number, row) for number, row in rows if any(row.values())]
    if not rows:
        raise InputError(Problem("the table has no row", "Give one row for each point.", file=file))
    return rows


def columns_of(
    rows: Rows,
    checks: Mapping[str, Callable[[float], str]],
    *,
    file: str,
    faults: list[Problem],
) -> dict[str, Array]:
    """Numbers of the named columns, shape (n,), in each column's own unit.

    Parameters
    ----------
    rows : Rows
        Of `read_table` [-].
    checks : mapping
        Column name to a check of its value in the column's unit, giving what is wrong or nothing [-].
    file : str
        Named in messages.
    faults : list of Problem
        Faults are added; their cells are NaN.
    """
    found = {name: np.full(len(rows), np.nan) for name in checks}
    decimal = _decimal(row[name] for _, row in rows for name in checks)
    for at, (number, row) in enumerate(rows):
        for name, check in checks.items():
            try:
                found[name][at] = parse_number(row[name], decimal=decimal)
                wrong = check(found[name][at])
            except QuantityError as error:
                wrong = str(error) if "may be" in str(error) else "this is no number"
            if wrong:
                faults.append(
                    Problem(wrong, _MENDS[name], file=file, row=number, column=name, found=row[name])
                )
    return found


_POINT, _COMMA = (
    re.compile(r"[-+]?\d*\.\d+"),
    re.compile(r"[-+]?(\d*,(\d{1,2}|\d{4,})|0*,\d{3}|\d{4,},\d{3})"),
)


def _decimal(cells: Iterable[str]) -> DecimalMark:
    """The decimal mark, where some number of the table shows it beyond doubt; a point's word counts before a comma's."""
    written = [cell.split("e")[0].split("E")[0] for cell in cells]
    if any(_POINT.fullmatch(cell) for cell in written):
        return "."
    return "," if any(_COMMA.fullmatch(cell) for cell in written) else ""


_MENDS = {
    "temperature_K": "Give kelvin, as 298.15.",
    "partial_pressure_Pa": "Give pascal, above zero; 1 ppm is about 0.1 Pa.",
    "loading_g_per_g": "Give grams of vapour per gram of dry medium.",
    "relative_humidity": "Give a fraction from 0 to 1.",
}
CHECKS: Mapping[str, Callable[[float], str]] = {
    "temperature_K": lambda value: "" if _COLDEST <= value <= _HOTTEST else f"outside {_COLDEST:g} to {_HOTTEST:g} K",
    "partial_pressure_Pa": lambda value: "" if value > 0.0 else "a pressure must be above zero",
    "loading_g_per_g": lambda value: "" if 0.0 <= value < 10.0 else "outside 0 to 10 g/g",
}  # fmt: skip


def cas_faults(rows: Rows, *, file: str) -> list[Problem]:
    """Rows whose CAS number cannot be one.

    Parameters
    ----------
    rows : Rows
        With a column ``cas`` [-].
    file : str
        Named in messages.
    """
    return [
        Problem("this is no CAS number", "Write it as 108-88-3; its last digit is a check digit.", file=file, row=number, column="cas", found=row["cas"])
        for number, row in rows
        if not check_digit(row["cas"])
    ]  # fmt: skip
