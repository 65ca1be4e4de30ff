"""One row to one `Container`, or to everything that is wrong with it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from stillroom.errors import Problem
from stillroom.inventory.contents import Contents, Written, contents_of
from stillroom.inventory.dates import date_fault
from stillroom.inventory.model import Closure, Container, State
from stillroom.inventory.sizes import Size, parse_count, parse_size
from stillroom.inventory.words import closure_of, material_of, openings_of, plain, state_of
from stillroom.substances import Resolution, resolve
from stillroom.substances.solutions import StrengthError
from stillroom.units import DecimalMark, QuantityError, parse_number, parse_unit

__all__ = ["Layout", "Row", "container_of"]

_BLANK = re.compile(
    r"[\s\-–—.]*|n/?a\.?|none|null|nil|k\.?\s?a\.?|not applicable|keine?|aucune?", re.IGNORECASE
)
_ERROR_CELL = re.compile(r"#(?:REF|VALUE|N/A|NAME|DIV/0|NUM|NULL|WERT|BEZUG|NV)[!?]?", re.IGNORECASE)
_MOST_OPENINGS = 500.0
_LONGEST = 500


@dataclass(frozen=True, slots=True)
class Layout:
    """What holds for the whole file."""

    file: str
    headers: Mapping[str, str]
    """column of ours -> header as written"""
    unit: str = ""
    """from the header of the amount"""
    concentration_unit: str = ""
    decimal: DecimalMark = ""


@dataclass(slots=True)
class Row:
    """One row's cells by column of ours, and what was found wrong or remarkable."""

    number: int
    cells: Mapping[str, str]
    layout: Layout
    problems: list[Problem] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    def get(self, column: str) -> str:
        text = " ".join(self.cells.get(column, "").split())
        return "" if _BLANK.fullmatch(text) else text

    def wrong(self, column: str, what: str, mend: str, found: str | None = None) -> None:
        self.problems.append(
            Problem(
                what=what,
                mend=mend if mend.endswith(".") or not mend else f"{mend}.",
                file=self.layout.file,
                row=self.number,
                column=self.layout.headers.get(column, column),
                found=(self.get(column) if found is None else found)[:_LONGEST],
            )
        )

    def wrong_as(self, column: str, error: ValueError) -> None:
        """A fault whose message ends in its mend, after the last full stop."""
        what, _, mend = str(error).rpartition(". ")
        self.wrong(column, _without_quote(what, self.get(column)), mend)


def _without_quote(what: str, found: str) -> str:
    """“-5 L” is not … → the found value stands beside, so the sentence need not begin with it."""
    start = f"“{found}” "
    return f"this {what[len(start) :]}" if what.startswith(start) else what


def container_of(row: Row) -> Container | None:
    """The row's container; None where something is wrong, which then stands in `row.problems`."""
    _error_cells(row)
    size = _size(row)
    count = _count(row, size)
    state = _state(row)
    material, closure, cylinder = _vessel(row, size)
    opened, stated = _opened(row)
    found = _identity(row)
    contents = None
    if found is not None:
        is_volume = size is None or size.amount.kind == "volume"
        contents = _contents(
            row, found, Written(row.get("name"), _concentration(row), state, is_volume, cylinder)
        )
    if row.problems or size is None or contents is None:
        return None
    row.remarks.extend(contents.remarks)
    if contents.unknown_reason:
        row.remarks.append(f"not known: {contents.unknown_reason}")
    first = contents.components[0].substance.name if contents.components else ""
    return Container(
        key=f"r{row.number}",
        row=row.number,
        name=row.get("name") or first,
        cas_written=row.get("cas"),
        components=contents.components,
        amount=size.amount,
        count=count,
        state=contents.state,
        concentration=contents.concentration or row.get("concentration"),
        material=material,
        closure=closure,
        opened_per_week=opened,
        opened_stated=stated,
        note=" ".join(row.cells.get("note", "").split()),
        unknown_reason=contents.unknown_reason,
    )


def _error_cells(row: Row) -> None:
    for column in row.cells:
        text = row.get(column)
        if _ERROR_CELL.fullmatch(text):
            row.wrong(column, "the spreadsheet could not compute this cell", "Write the value itself")
        elif len(text) > _LONGEST and column != "note":
            row.wrong(
                column,
                f"the cell holds {len(text)} characters",
                "Shorten it, or move it to the note",
                text[:60],
            )


def _size(row: Row) -> Size | None:
    text, unit = row.get("amount"), row.get("unit")
    if not text:
        row.wrong("amount", "the size of the container is missing", "Write it like 2.5 L or 500 g", "")
        return None
    if _ERROR_CELL.fullmatch(text):
        return None
    if plain(unit) in (
        "bottle",
        "bottles",
        "each",
        "ea",
        "pcs",
        "piece",
        "pieces",
        "flasche",
        "stuck",
        "container",
    ):
        row.wrong(
            "unit", "this counts containers and is no unit of volume or mass", "Write L, mL, kg, g or mg"
        )
        return None
    try:
        if unit:
            parse_unit(unit)
    except QuantityError as error:
        row.wrong_as("unit", error)
        return None
    try:
        return parse_size(text, unit=unit or row.layout.unit, decimal=row.layout.decimal)
    except QuantityError as error:
        row.wrong_as("amount", error)
        return None


def _count(row: Row, size: Size | None) -> int:
    written = size.count if size and size.count else None
    text = row.get("count")
    if not text or _ERROR_CELL.fullmatch(text):
        return written or 1
    try:
        count = parse_count(text, decimal=row.layout.decimal)
    except QuantityError as error:
        row.wrong_as("count", error)
        return 1
    if written and written > 1 and count > 1:
        what = f"the size says {written} containers and the count {count}: {max(written, count)} or {written * count}?"
        row.wrong("count", what, "Write the size of one container, and how many there are in all")
    return count if not written or written == 1 else written


def _state(row: Row) -> State | None:
    text = row.get("state")
    if not text or plain(text) in ("unknown", "unbekannt", "not known", "inconnu"):
        return None
    state = state_of(text)
    if state is None:
        row.wrong(
            "state", "this state is not known", "Write liquid, solid, gas or solution, or leave it empty"
        )
    return state


def _vessel(row: Row, size: Size | None) -> tuple[str, Closure, bool]:
    """Material, closure, and whether it is a gas cylinder."""
    text = row.get("container") or (size.container if size else "")
    material = material_of(text) if text else ""
    written = row.get("closure")
    closure = closure_of(written)
    if closure is None:
        row.remarks.append(f"the closure “{written}” is not known and counts as not stated")
        closure = "not stated"
    if closure == "not stated" and re.search(r"ampou?le|ampulle", text, re.IGNORECASE):
        closure = "sealed ampoule"
    elif (
        closure == "not stated"
        and not written
        and material == "metal"
        and re.search(r"can|tin|dose", text, re.I)
    ):
        closure = "metal can"
    cylinder = material == "gas cylinder" or bool(
        re.search(r"\bcylinder\b|lecture bottle", row.get("name"), re.I)
    )
    return material, closure, cylinder


def _opened(row: Row) -> tuple[float, bool]:
    text = row.get("opened_per_week")
    if not text:
        return 1.0, False
    known = openings_of(text)
    if known is not None:
        return known, True
    bare = re.sub(r"\s*(?:x|×|times?|mal|fois|veces)?\s*(?:/|per|a|pro|par|por)?\s*(?:week|wk|woche|semaine|semana)?$",
                  "", text, flags=re.IGNORECASE)  # fmt: skip
    try:
        value = parse_number(bare, decimal=row.layout.decimal)
    except QuantityError:
        row.wrong(
            "opened_per_week",
            "this is no number of openings a week",
            "Write a number like 2, or daily, or never",
        )
        return 1.0, False
    if not 0 <= value <= _MOST_OPENINGS:
        row.wrong(
            "opened_per_week",
            f"openings a week lie between 0 and {_MOST_OPENINGS:g}",
            "Write a number like 2",
        )
    return value, True


def _identity(row: Row) -> Resolution | None:
    """Which substance; None where the row is wrong."""
    name, cas = row.get("name"), row.get("cas")
    if _ERROR_CELL.fullmatch(name) or _ERROR_CELL.fullmatch(cas):
        return None
    if not name and not cas:
        row.wrong(
            "name", "neither a name nor a CAS number is written", "Write one of them, or delete the row", ""
        )
        return None
    if plain(cas) in (
        "mixture",
        "various",
        "unknown",
        "proprietary",
        "gemisch",
        "melange",
        "mezcla",
        "trade secret",
    ):
        row.remarks.append(f"the CAS number is given as “{cas}”")
        cas = ""
        if not name:
            return Resolution(None, "neither a name nor a CAS number says what it is")
    if cas and (fault := date_fault(cas)):
        row.wrong("cas", *fault)
        return None
    if len(numbers := re.findall(r"\d{2,7}-\d\d-\d\b", cas)) > 1:
        row.wrong(
            "cas",
            "several CAS numbers stand in one cell",
            f"Write one row for each, or one of {numbers[0]} …",
        )
        return None
    found = resolve(cas=cas, name=name)
    if found.substance is None and found.contradiction:
        shape = "shaped" in found.reason or "check digit" in found.reason
        mend = (
            f"Copy it again from the label{_suggest(name)}"
            if shape
            else "Correct the one that is wrong; the label on the container decides"
        )
        row.wrong("cas", found.reason, mend)
        return None
    return found


def _suggest(name: str) -> str:
    """The number that the name beside a wrong CAS number has."""
    found = resolve(name=name).substance if name else None
    return f"; the name “{name}” has {found.cas}" if found else ""


def _concentration(row: Row) -> str:
    text, unit = row.get("concentration"), row.layout.concentration_unit
    if not text and re.search(r"\d", purity := row.get("purity")):
        text, unit = purity, "%"  # a grade ("p.a.") is no strength
    if re.fullmatch(r"(?:pure|neat|rein|pur|puro|100\s*%)", text, re.IGNORECASE):
        return ""
    return f"{text} {unit}" if unit and re.fullmatch(r"[\d.,]+", text) else text


def _contents(row: Row, found: Resolution, written: Written) -> Contents | None:
    try:
        return contents_of(written, found)
    except StrengthError as error:
        column = next((column for column in ("concentration", "purity") if row.get(column)), "name")
        row.wrong_as(column, error)
        return None
