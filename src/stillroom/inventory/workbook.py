"""The first sheet of an XLSX workbook that holds an inventory, opened only after its sizes were checked."""

from __future__ import annotations

import datetime as dt
import io
import re
import zipfile
import zlib

from stillroom.errors import InputError, Problem

__all__ = ["read_sheets"]

MOST_MEMBERS = 2000
MOST_UNPACKED = 100_000_000
"""Bytes that the members may unpack to together."""
MOST_CELLS = 2_000_000
"""Rows × columns of a sheet, because a reader holds the whole rectangle."""
_SAVE = "Save the list as a new workbook (.xlsx) or as CSV and try again."
_CELL = re.compile(rb"<(?:\w+:)?c\s[^>]*?\br=[\"']([A-Z]{1,3})(\d{1,7})[\"']")


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

    _guard(data, file)
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


def _guard(data: bytes, file: str) -> None:
    """Refuse an archive that unpacks to too much, by its own word and in fact, before any reader opens it."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = archive.infolist()
            names = {member.filename for member in members}
            if "[Content_Types].xml" not in names or not any(
                name.startswith("xl/workbook") for name in names
            ):
                raise _refuse("the file is a zip archive and no Excel workbook", file)
            if any(member.flag_bits & 1 for member in members):
                raise _refuse(
                    "the workbook is protected with a password", file, "Save it without a password."
                )
            declared = sum(member.file_size for member in members)
            if len(members) > MOST_MEMBERS or declared > MOST_UNPACKED:
                raise _refuse(f"the workbook unpacks to {declared / 1e6:.0f} MB", file, _SMALLER)
            _unpack(archive, members, file)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, OSError, RuntimeError):
        raise _refuse("the workbook is damaged", file) from None


_SMALLER = "Save only the list, in a new workbook, and try again."


def _unpack(archive: zipfile.ZipFile, members: list[zipfile.ZipInfo], file: str) -> None:
    """Read every member to its end in pieces: the sizes are then known, and each sheet's furthest cell."""
    unpacked = 0
    for member in members:
        sheet = member.filename.startswith("xl/worksheets/")
        far_row = far_column = 0
        tail = b""
        with archive.open(member) as stream:
            while piece := stream.read(1 << 20):
                unpacked += len(piece)
                if unpacked > MOST_UNPACKED:
                    raise _refuse("the workbook unpacks to more than it says", file, _SMALLER)
                if sheet:
                    for letters, number in _CELL.findall(tail + piece):
                        far_row = max(far_row, int(number))
                        far_column = max(far_column, _column(letters))
                    tail = piece[-200:]
        if far_row * far_column > MOST_CELLS:
            what = f"a sheet has cells as far as row {far_row} and column {far_column}"
            raise _refuse(what, file, "Delete the empty rows and columns beyond the list, or save it as CSV.")


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number
