"""The first sheet of an XLSX workbook that holds an inventory, opened only after its sizes were checked."""

from __future__ import annotations

import datetime as dt
import io
import re

from stillroom.errors import InputError, Problem
from stillroom.inventory.bounds import check_workbook

__all__ = ["read_sheets"]

_SAVE = "Save the list as a new workbook (.xlsx) or as CSV and try again."


def _refuse(what: str, file: str, mend: str = _SAVE) -> InputError:
    return InputError(Problem(what, mend, file=file))


def read_sheets(data: bytes, file: str) -> list[tuple[str, list[list[str]]]]:
    """Name and cells (as text) of every sheet, in the order of the workbook.

    Raises
    ------
    InputError
        The file is no workbook, or would unpack to more than is reasonable.
    """
    from python_calamine import CalamineError, CalamineWorkbook

    check_workbook(data, file)
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        return [(name, _rows(book.get_sheet_by_name(name).to_python())) for name in book.sheet_names]
    except (CalamineError, OSError, ValueError, KeyError) as error:
        raise _refuse(f"the workbook could not be read ({type(error).__name__})", file) from None


def _rows(cells: list[list[object]]) -> list[list[str]]:
    return [[_text(cell) for cell in row] for row in cells]


def _text(cell: object) -> str:
    """A cell as text; a number never looks like one with a thousands mark (1.234 becomes 1.2340)."""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        text = str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
        return text + "0" if re.fullmatch(r"-?\d{1,3}\.\d{3}", text) else text
    if isinstance(cell, dt.datetime):
        return cell.date().isoformat()
    if isinstance(cell, dt.date | dt.time):
        return cell.isoformat()
    return str(cell)
