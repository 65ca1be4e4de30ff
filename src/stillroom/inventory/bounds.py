"""What an XLSX workbook would become when it is read, measured before any reader opens it.

A reader holds the whole rectangle up to a sheet's furthest cell, a copy of a shared text for each cell that names it, and
a sheet again for each time that it is listed: a file of two kilobytes can ask for gigabytes.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections import Counter
from typing import IO
from xml.parsers import expat

from stillroom.errors import InputError, Problem

__all__ = ["check_workbook"]

MOST_MEMBERS = 2000
MOST_UNPACKED = 100_000_000
"""Bytes that the members may unpack to together."""
MOST_CELLS = 2_000_000
"""Rows × columns up to the furthest cell, of all sheets together."""
MOST_TEXT = 100_000_000
"""Characters that all cells hold together in shared texts."""
_SMALLER = "Save only the list, in a new workbook, and try again."
_AGAIN = "Save the list as a new workbook (.xlsx) or as CSV and try again."
_PIECE = 1 << 16
_CELL = re.compile(r"([A-Za-z]{1,3})([0-9]{1,7})")
_SHEETS = frozenset({"worksheet", "chartsheet", "dialogsheet"})


class _Damaged(Exception):
    """Not what a spreadsheet writes."""


class _TooLarge(Exception):
    """A measure is passed; the rest need not be read."""


def check_workbook(data: bytes, file: str) -> None:
    """Refuse what is no workbook, carries something beside it, or would become too large.

    Raises
    ------
    InputError
        With what was found and the mend.
    """

    def refuse(what: str, mend: str = _AGAIN) -> InputError:
        return InputError(Problem(what, mend, file=file))

    measure = _Measure()
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = archive.infolist()
            names = {member.filename.lower() for member in members}
            if "[content_types].xml" not in names or "xl/workbook.xml" not in names:
                raise refuse("the file is a zip archive and no Excel workbook")
            if any(member.flag_bits & 1 for member in members):
                raise refuse("the workbook is protected with a password", "Save it without a password.")
            declared = sum(member.file_size for member in members)
            if len(members) > MOST_MEMBERS or declared > MOST_UNPACKED:
                raise refuse(f"the workbook unpacks to {declared / 1e6:.0f} MB", _SMALLER)
            alone = data[-22:-18] == b"PK\x05\x06" and min(member.header_offset for member in members) == 0
            if not alone or names & {"xl/workbook.bin", "content.xml"}:
                raise refuse("the file holds something beside the workbook")
            for member in members:
                with archive.open(member) as stream:
                    measure.take(member.filename.lower(), stream)
        measure.conclude()
    except _TooLarge as fault:
        what = str(fault)
        rows = "Delete the empty rows and columns beyond the list, or save it as CSV."
        raise refuse(what, rows if "row" in what else _SMALLER) from None
    except (
        _Damaged, expat.ExpatError, zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, OSError, RuntimeError,
    ):  # fmt: skip
        raise refuse("the workbook is damaged") from None


class _Measure:
    """What the members read so far would become."""

    def __init__(self) -> None:
        self._bytes = self._cells = self._listed = self._sheets = 0
        self._lengths: list[int] = []
        self._uses: Counter[int] = Counter()

    def take(self, name: str, stream: IO[bytes]) -> None:
        """Read a member to its end, in pieces."""
        part = _Part() if name.endswith((".xml", ".rels")) else None
        tail = b""
        while piece := stream.read(_PIECE):
            self._bytes += len(piece)
            if self._bytes > MOST_UNPACKED:
                raise _TooLarge("the workbook unpacks to more than it says")
            if part:
                part.feed(piece)
            elif b"sheetData" in tail + piece:
                raise _Damaged  # a sheet under another name, which a reader would find all the same
            tail = piece[-16:]
        if part:
            part.feed(b"", last=True)
            self._add(part)

    def _add(self, part: _Part) -> None:
        self._listed += part.listed
        self._sheets += part.root in _SHEETS
        self._lengths += part.lengths
        self._uses += part.uses
        if part.has_cells:
            self._cells += part.far_row * part.far_column
        if self._cells > MOST_CELLS:
            raise _TooLarge(f"a sheet has cells as far as row {part.far_row} and column {part.far_column}")

    def conclude(self) -> None:
        """What only all members together tell."""
        if self._listed > max(self._sheets, 1):
            raise _Damaged  # a sheet is listed several times
        known = len(self._lengths)
        text = sum(times * self._lengths[index] for index, times in self._uses.items() if index < known)
        if text > MOST_TEXT:
            raise _TooLarge(f"the workbook's cells hold {text / 1e6:.0f} million characters")


class _Part:
    """One member, element by element."""

    def __init__(self) -> None:
        self.root = ""
        self.far_row = self.far_column = self.listed = 0
        self.has_cells = False
        self.lengths: list[int] = []
        self.uses: Counter[int] = Counter()
        self._row = self._column = self._number = 0
        self._text: list[str] | None = None
        self._shared = self._in_text = False
        self._parser = expat.ParserCreate(namespace_separator=" ")
        self._parser.buffer_text = True
        self._parser.StartDoctypeDeclHandler = _refuse_doctype
        self._parser.StartElementHandler = self._start
        self._parser.EndElementHandler = self._end
        self._parser.CharacterDataHandler = self._characters

    def feed(self, piece: bytes, *, last: bool = False) -> None:
        self._parser.Parse(piece, last)

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        local = name.rpartition(" ")[2]
        self.root = self.root or local
        if local == "c":
            self._cell(attributes)
        elif local == "row":
            self._row = _whole(attributes.get("r", str(self._row + 1)))
            self._column = 0
        elif local == "v":
            self._text = [] if self._shared else None
        elif local == "si":
            self.lengths.append(0)
            self._in_text = True
        elif local == "sheet":
            self.listed += 1
        elif local == "sheetData":
            self.has_cells = True

    def _cell(self, attributes: dict[str, str]) -> None:
        place = attributes.get("r")
        if place is None:
            self._column += 1
        else:
            found = _CELL.fullmatch(place)
            if not found:
                raise _Damaged
            self._column, self._row = _column(found[1]), int(found[2])
        self._shared = attributes.get("t") == "s"
        self._number += 1
        self.far_row, self.far_column = max(self.far_row, self._row), max(self.far_column, self._column)
        if self._number > MOST_CELLS:
            raise _TooLarge(f"a sheet has cells as far as row {self.far_row} and column {self.far_column}")

    def _characters(self, text: str) -> None:
        if self._text is not None:
            self._text.append(text)
        elif self._in_text:
            self.lengths[-1] += len(text)

    def _end(self, name: str) -> None:
        local = name.rpartition(" ")[2]
        if local == "v" and self._text is not None:
            if self._text:
                self.uses[_whole("".join(self._text))] += 1
            self._text = None
        elif local == "si":
            self._in_text = False
        elif local == "c":
            self._shared = False


def _refuse_doctype(*_: object) -> None:
    raise _Damaged


def _whole(text: str) -> int:
    if not re.fullmatch(r"\s*[0-9]{1,7}\s*", text):
        raise _Damaged
    return int(text)


def _column(letters: str) -> int:
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number
