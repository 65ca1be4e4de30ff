"""Load a user's own list of limits: checked, asked about where it looks like a slip, kept byte for byte."""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass, replace
from pathlib import Path

from stillroom.errors import InputError, Problem
from stillroom.substances import limits
from stillroom.substances.limits import own
from stillroom.substances.limits.own_file import Row, parse
from stillroom.substances.limits.tables import shipped_keys

__all__ = ["Loaded", "load_limits"]

_EARLIER = "earlier"


@dataclass(frozen=True, slots=True)
class Loaded:
    """What was loaded."""

    list: limits.LimitList
    count: int
    """limits in it [-]"""
    sha256: str
    file: Path
    replaced: str
    """edition of the list that it takes the place of; empty where there was none"""
    unchanged: bool
    """the same file was there already"""
    confirmed: tuple[Problem, ...]
    """what was asked, and confirmed by the user"""


def load_limits(content: bytes, *, file: str, confirmed: bool = False) -> Loaded:
    """Keep the list in the folder of the user's lists; an edition of the same key that was there is set aside.

    Parameters
    ----------
    content : bytes
        As `limits.own_file.parse` reads it.
    file : str
        Its name, for messages.
    confirmed : bool
        The user has seen what looks like a slip and stands by it.

    Raises
    ------
    InputError
        A fault in the file, or the folder cannot be written.
    substances.limits.NeedsConfirmation
        A value is a factor of 100 or more from every list, a short-term limit lies below the 8-hour value, or a name means
        another substance than its CAS number; all of them at once.
    """
    entry, rows = parse(content, file=file)
    if entry.key in shipped_keys():
        mend = "Give your list a key of its own; a shipped list changes with the program only."
        raise InputError(
            Problem("a shipped list has this key", mend, file=file, column="key", found=entry.key)
        )
    asked = (*_far(rows, file), *_short(rows, file), *_names(rows, file))
    if asked and not confirmed:
        raise limits.NeedsConfirmation(asked)
    before = next((item for item in own.stored() if item.list.key == entry.key), None)
    place = own.folder() / f"{entry.key}.csv"
    try:
        _keep(content, place)
    except OSError as error:
        mend = "Name a folder that can be written in STILLROOM_LIMITS."
        raise InputError(Problem(f"cannot be written ({error.strerror})", mend, file=str(place))) from None
    sha256 = hashlib.sha256(content).hexdigest()
    same = before is not None and before.sha256 == sha256
    replaced = before.list.edition if before and not same else ""
    return Loaded(entry, len(rows), sha256, place, replaced, same, asked)


def _keep(content: bytes, place: Path) -> None:
    """Whole or not at all; what stood there goes to ``earlier`` under its digest."""
    place.parent.mkdir(parents=True, exist_ok=True)
    if place.exists():
        old = place.read_bytes()
        if old == content:
            return
        aside = place.parent / _EARLIER / f"{place.stem}-{hashlib.sha256(old).hexdigest()[:12]}.csv"
        aside.parent.mkdir(exist_ok=True)
        _write(old, aside)
    _write(content, place)


def _write(content: bytes, place: Path) -> None:
    part = place.with_suffix(".part")
    with part.open("wb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
    part.replace(place)


def _far(rows: tuple[Row, ...], file: str) -> list[Problem]:
    """Values that look like a slip of the unit, set against every list at hand."""
    found: list[Problem] = []
    for row in rows:
        if row.entry["measured_as"]:
            continue
        value, unit = (row.value / 1000.0, "mg/m3") if row.unit == "ug/m3" else (row.value, row.unit)
        try:
            limits.by_hand(cas=row.entry["cas"], value=value, unit=unit, basis=row.basis, source_words=file)
        except limits.NeedsConfirmation as error:
            found += [replace(item, file=file, row=row.number) for item in error.problems]
    return found


def _short(rows: tuple[Row, ...], file: str) -> list[Problem]:
    """Short-term limits and ceilings below the 8-hour value in the same unit."""
    long = {_kind(row): row for row in rows if row.basis == "TWA"}
    found = []
    for row in rows:
        twa = long.get(_kind(row))
        if row.basis != "TWA" and twa is not None and row.value < twa.value:
            what = f"lies below the TWA of row {twa.number} ({twa.value:g} {twa.unit})"
            found.append(
                Problem(what, "Correct one of the two, or confirm it.", file=file, row=row.number, column="value", found=f"{row.value:g} {row.unit}")
            )  # fmt: skip
    return found


def _kind(row: Row) -> tuple[str, ...]:
    return row.entry["cas"], row.unit, row.entry["fraction"], row.entry["measured_as"]


def _names(rows: tuple[Row, ...], file: str) -> list[Problem]:
    """Names that mean another substance than the number beside them."""
    from stillroom.substances.identity import resolve

    found = []
    for row in rows:
        cas, name = row.entry["cas"], row.entry["name"]
        answer = resolve(cas=cas, name="" if name == cas else name)
        if answer.contradiction:
            mend = "Correct the name or the number, or confirm it: the number decides."
            found.append(Problem(answer.reason, mend, file=file, row=row.number, column="cas", found=cas))
    return found
