"""Bytes to rows of text: CSV in the usual encodings, and XLSX."""

from __future__ import annotations

import csv
import io
import zipfile
from dataclasses import dataclass

from stillroom.errors import InputError, Problem

__all__ = ["LARGEST_FILE", "Sheet", "sheet_of"]

LARGEST_FILE = 10_000_000
_LARGEST_UNPACKED = 100_000_000
_MOST_ROWS = 20_000
_BINARY = {
    b"\x89PNG": "a PNG picture",
    b"%PDF": "a PDF",
    b"\xff\xd8\xff": "a JPEG picture",
    b"\xd0\xcf\x11\xe0": "an old .xls workbook",
    b"GIF8": "a GIF picture",
    b"\x1f\x8b": "a gzip archive",
}


@dataclass(frozen=True, slots=True)
class Sheet:
    """Rows of text; `numbers` are the rows' numbers as a spreadsheet shows them."""

    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...]
    reading: dict[str, str]


def sheet_of(data: bytes, file_name: str) -> Sheet:
    """The first sheet of a file.

    Raises
    ------
    InputError
        Empty, too large, binary, or content that does not match the name's ending.
    """
    if not data.strip(b"\x00 \r\n\t"):
        raise InputError(
            Problem("is empty", "Save the inventory with a header and at least one row.", file=file_name)
        )
    if len(data) > LARGEST_FILE:
        raise InputError(
            Problem("is larger than 10 MB", "Split it, or remove pictures from it.", file=file_name)
        )
    ending = file_name.lower().rsplit(".", 1)[-1] if "." in file_name else ""
    for magic, what in _BINARY.items():
        if data.startswith(magic):
            raise InputError(Problem(f"is {what}", "Save the inventory as CSV or XLSX.", file=file_name))
    if data.startswith(b"PK"):
        if ending not in ("xlsx", "xlsm"):
            raise InputError(
                Problem(
                    "is a workbook or archive under another name", "Save it as .xlsx or .csv.", file=file_name
                )
            )
        return _xlsx(data, file_name)
    if ending in ("xlsx", "xlsm", "xls"):
        raise InputError(Problem("is no XLSX workbook", "Save it again as XLSX, or as CSV.", file=file_name))
    return _csv(data, file_name)


def _xlsx(data: bytes, file_name: str) -> Sheet:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            unpacked = sum(entry.file_size for entry in archive.infolist())
            many = len(archive.infolist())
    except zipfile.BadZipFile:
        raise InputError(
            Problem("is damaged", "Open it in a spreadsheet and save it again.", file=file_name)
        ) from None
    if unpacked > _LARGEST_UNPACKED or many > 2000 or unpacked > 200 * len(data):
        raise InputError(
            Problem(
                "unpacks to far more than an inventory", "Save only the inventory as XLSX.", file=file_name
            )
        )
    from python_calamine import CalamineError, CalamineWorkbook

    try:
        workbook = CalamineWorkbook.from_filelike(io.BytesIO(data))
        name = workbook.sheet_names[0]
        cells = workbook.get_sheet_by_index(0).to_python(skip_empty_area=False, nrows=_MOST_ROWS)
    except (CalamineError, IndexError, ValueError) as error:
        raise InputError(
            Problem(f"cannot be opened ({error})", "Save it without a password as XLSX.", file=file_name)
        ) from None
    rows = tuple(tuple(_cell(value) for value in row) for row in cells)
    return Sheet(
        rows, tuple(range(1, len(rows) + 1)), {"sheet": str(name), "decimal mark": "by the workbook"}
    )


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.15g}"
    return str(value)


def _csv(data: bytes, file_name: str) -> Sheet:
    text, encoding = _decode(data, file_name)
    if text.count("\x00") or sum(ord(letter) < 9 for letter in text[:4000]) > 2:
        raise InputError(Problem("is no text", "Save the inventory as CSV or XLSX.", file=file_name))
    separator = _separator(text)
    rows, numbers = [], []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    line = 1
    try:
        for row in reader:
            rows.append(tuple(row))
            numbers.append(line)
            line = reader.line_num + 1
            if len(rows) > _MOST_ROWS:
                raise InputError(Problem(f"has more than {_MOST_ROWS} rows", "Split it.", file=file_name))
    except csv.Error as error:
        raise InputError(
            Problem(f"cannot be read as CSV: {error}", "Check the quotes there.", file=file_name, row=line)
        ) from None
    words = {",": "comma", ";": "semicolon", "\t": "tab"}[separator]
    return Sheet(tuple(rows), tuple(numbers), {"encoding": encoding, "separator": words})


def _decode(data: bytes, file_name: str) -> tuple[str, str]:
    for mark, encoding, words in (
        (b"\xef\xbb\xbf", "utf-8-sig", "UTF-8 with BOM"),
        (b"\xff\xfe", "utf-16", "UTF-16"),
        (b"\xfe\xff", "utf-16", "UTF-16"),
    ):
        if data.startswith(mark):
            try:
                return data.decode(encoding), words
            except UnicodeDecodeError:
                raise InputError(
                    Problem(f"is not whole {words}", "Save it again as UTF-8.", file=file_name)
                ) from None
    try:
        return data.decode("utf-8"), "UTF-8"
    except UnicodeDecodeError:
        pass
    try:
        return data.decode("cp1252"), "Windows-1252"
    except UnicodeDecodeError:
        raise InputError(
            Problem("is in an encoding that is not known", "Save it as UTF-8.", file=file_name)
        ) from None


def _separator(text: str) -> str:
    """The separator that splits the first lines into the most columns, evenly; a tab or semicolon before a comma."""
    lines = [line for line in text.splitlines()[:15] if line.strip()]
    best, most = ",", 0.0
    for separator in ("\t", ";", ","):
        try:
            counts = [len(row) for row in csv.reader(lines, delimiter=separator)]
        except csv.Error:
            continue
        usual = sorted(counts)[len(counts) // 2] if counts else 0
        if usual > max(most, 1):
            best, most = separator, usual
    return best
