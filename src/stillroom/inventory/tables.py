"""Bytes to rows of text: which kind of file, which encoding, which separator."""

from __future__ import annotations

import codecs
import csv
import re
from collections.abc import Callable
from dataclasses import dataclass

from stillroom.errors import InputError, Problem
from stillroom.inventory.workbook import read_sheets

__all__ = ["MOST_BYTES", "Table", "open_table"]

MOST_BYTES = 10_000_000
_SEPARATORS = {";": "semicolon", ",": "comma", "\t": "tab", "|": "vertical bar"}
_TEXT_ENDINGS = (".csv", ".txt", ".tsv")
_MAGIC = (
    (b"PK\x03\x04", "a zip archive or an Excel workbook"),
    (b"\xd0\xcf\x11\xe0", "an old Excel workbook (.xls) or another old Office file"),
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"\x1f\x8b", "a compressed file"),
    (b"{\\rtf", "a text document (RTF)"),
    (b"<!doctype", "a web page"),
    (b"<html", "a web page"),
)
_AS_CSV = "Save the list as .xlsx or .csv and try again."
_FILL = "Write a header row and under it a row for each kind of container."

Scorer = Callable[[list[list[str]]], int]
"""How many headers the best of some rows holds."""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of text with the number that a spreadsheet gives each, and how they were read."""

    rows: tuple[tuple[int, list[str]], ...]
    reading: dict[str, str]
    warnings: tuple[str, ...] = ()
    ragged: bool = True
    """a text file, in which a row of another length is a fault"""


def open_table(data: bytes, file: str, score: Scorer) -> Table:
    """The table in a file.

    Parameters
    ----------
    data : bytes
        The file's contents.
    file : str
        Its name, whose ending says what it should be.
    score : Scorer
        Counts known headers; decides between separators and between sheets.

    Raises
    ------
    InputError
        Too large, empty, binary, or not what its ending says.
    """
    if len(data) > MOST_BYTES:
        raise _refuse(f"the file is {len(data) / 1e6:.1f} MB; 10 MB is the most", file, "Save only the list.")
    if not data.strip(b" \t\r\n\x00\xef\xbb\xbf\xff\xfe"):
        raise _refuse("the file is empty", file, _FILL)
    start = data[:64].lstrip().lower()
    kind = next((words for magic, words in _MAGIC if start.startswith(magic.lower())), "")
    ending = "." + file.rsplit(".", 1)[-1].lower() if "." in file else ""
    if ending == ".xlsx":
        if not data.startswith(b"PK\x03\x04"):
            raise _refuse(f"the name ends in .xlsx and the content is {kind or 'no workbook'}", file, _AS_CSV)
        return _workbook(data, file, score)
    if ending not in _TEXT_ENDINGS:
        shown = f"ends in {ending}" if ending else "has no ending"
        raise _refuse(f"the name {shown}; CSV and XLSX are read", file, _AS_CSV)
    if kind:
        raise _refuse(f"the name ends in {ending} and the content is {kind}", file, _AS_CSV)
    text, encoding = _decode(data, file)
    return _separate(text, encoding, score)


def _refuse(what: str, file: str, mend: str) -> InputError:
    return InputError(Problem(what, mend, file=file))


def _workbook(data: bytes, file: str, score: Scorer) -> Table:
    sheets = [(name, rows) for name, rows in read_sheets(data, file) if any(any(row) for row in rows)]
    if not sheets:
        raise _refuse("the workbook is empty", file, _FILL)
    best = max(range(len(sheets)), key=lambda index: (score(sheets[index][1][:30]), -index))
    name, rows = sheets[best]
    others = [other for index, (other, _) in enumerate(sheets) if index != best]
    warnings = (f"only the sheet “{name}” was read; not read: {', '.join(others)}",) if others else ()
    return Table(tuple(enumerate(rows, 1)), {"file": "XLSX", "sheet": name}, warnings, ragged=False)


def _decode(data: bytes, file: str) -> tuple[str, str]:
    """Text and the name of its encoding."""
    if data.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)):
        raise _refuse("the text is in UTF-32", file, "Save it as CSV UTF-8.")
    for mark, encoding, name in (
        (codecs.BOM_UTF8, "utf-8-sig", "UTF-8 with byte order mark"),
        (codecs.BOM_UTF16_LE, "utf-16", "UTF-16 (little-endian)"),
        (codecs.BOM_UTF16_BE, "utf-16", "UTF-16 (big-endian)"),
    ):
        if data.startswith(mark):
            return _text(data, encoding, file), name
    if b"\x00" in data[:200]:
        little = data[1:200:2].count(0) > data[:200:2].count(0)
        return _text(data, "utf-16-le" if little else "utf-16-be", file), "UTF-16 without byte order mark"
    try:
        return _no_control(data.decode("utf-8"), file), "UTF-8"
    except UnicodeDecodeError:
        return _text(data, "cp1252", file), "Windows-1252"


def _text(data: bytes, encoding: str, file: str) -> str:
    try:
        return _no_control(data.decode(encoding), file)
    except UnicodeDecodeError:
        what = "the file is not text in UTF-8, UTF-16 or Windows-1252"
        raise _refuse(what, file, "Save the list as CSV UTF-8 or as .xlsx.") from None


def _no_control(text: str, file: str) -> str:
    if re.search(r"[\x00-\x08\x0e-\x1a\x1c-\x1f\ufffe\uffff]", text):
        raise _refuse("the file is binary, not a list in text", file, _AS_CSV)
    return text


def _parse(text: str, separator: str) -> list[list[str]]:
    csv.field_size_limit(MOST_BYTES)
    return list(csv.reader(_lines(text), delimiter=separator))


def _lines(text: str) -> list[str]:
    """Lines with their ends; only CR and LF end one, not the other marks that Unicode counts."""
    return re.findall(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+$", text)


def _separate(text: str, encoding: str, score: Scorer) -> Table:
    first = 1
    named = re.match(r"\s*\"?sep=(.)\"?[ \t;,]*\r?\n", text)
    if named and named[1] in _SEPARATORS:
        text, first, separator = text[named.end() :], 2, named[1]
    else:
        head = "".join(_lines(text)[:40])
        separator = max(_SEPARATORS, key=lambda mark: (score(_parse(head, mark)), head.count(mark)))
    rows = tuple(enumerate(_parse(text, separator), first))
    return Table(rows, {"file": "CSV", "encoding": encoding, "separator": _SEPARATORS[separator]})
