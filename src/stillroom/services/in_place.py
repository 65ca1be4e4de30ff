"""What is in a cabinet on a day: which filter and since when, which validation stands, and what that was asked."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from stillroom import inventory
from stillroom.cabinet.load import parse_cabinet
from stillroom.inventory.model import Inventory
from stillroom.records.models import Assessment, Cabinet, FilterChange, Validation
from stillroom.room.load import parse_room
from stillroom.services.history import History, Signed, history_of
from stillroom.services.reading import Asked

__all__ = [
    "Filter",
    "approves",
    "approving",
    "asked_of",
    "beds_of",
    "filter_at",
    "filter_before",
    "filter_in",
    "read_inventory",
    "standing",
    "standing_in",
    "without_past",
]

APPROVING = ("approved", "approved with conditions")


@dataclass(frozen=True, slots=True)
class Filter:
    """The filter that a cabinet holds."""

    since: datetime.date | None
    """None where nothing tells"""
    change: FilterChange | None
    """when it was put in; None where no change is recorded"""
    words: str
    """where the date comes from"""


def standing_in(cabinet: Cabinet, on: datetime.date) -> Validation | None:
    """The newest validation that approves, is not withdrawn nor superseded, and has not run out.

    Parameters
    ----------
    cabinet : Cabinet
    on : datetime.date
    """
    found = standing(history_of(cabinet), on)
    return found.row if found else None


def standing(history: History, on: datetime.date) -> Signed | None:
    """The same from what is kept of a cabinet.

    Parameters
    ----------
    history : History
    on : datetime.date
    """
    rows = (item for item in history.validations if approves(item))
    return next((item for item in rows if item.row.valid_until is None or on <= item.row.valid_until), None)


def approving(history: History) -> Signed | None:
    """The newest that approves a cabinet; it may have run out.

    Parameters
    ----------
    history : History
    """
    return next((item for item in history.validations if approves(item)), None)


def approves(signed: Signed) -> bool:
    """Whether it approves and is neither superseded nor withdrawn; it may have run out."""
    row = signed.row
    positive = row.meaning == Validation.Meaning.APPROVED and row.assessment.verdict in APPROVING
    return positive and not signed.withdrawn and not signed.superseded


def filter_in(cabinet: Cabinet, on: datetime.date) -> Filter:
    """The filter on a day: that of the last recorded change; without one, the date that the first validation tells.

    Parameters
    ----------
    cabinet : Cabinet
    on : datetime.date

    Notes
    -----
    Without a recorded change the earliest date is taken that anything tells, so that no filter counts as younger
    than it may be.
    """
    return filter_at(history_of(cabinet), on)


def filter_at(history: History, on: datetime.date) -> Filter:
    """The same from what is kept of a cabinet.

    Parameters
    ----------
    history : History
    on : datetime.date
    """
    change = next((row for row in history.changes if row.on <= on), None)
    return _of(change) if change else _unrecorded(history, on)


def filter_before(change: FilterChange) -> Filter:
    """The filter that a change took out.

    Parameters
    ----------
    change : FilterChange
    """
    history = history_of(change.cabinet)
    earlier = next((row for row in history.changes if row.on < change.on), None)
    return _of(earlier) if earlier else _unrecorded(history, change.on)


def _of(change: FilterChange) -> Filter:
    return Filter(change.on, change, f"put in on {change.on}")


def _unrecorded(history: History, on: datetime.date) -> Filter:
    told = [item.told_installed for item in history.validations]
    days = [day for day in (*told, history.cabinet.commissioned) if day is not None and day <= on]
    if not days:
        return Filter(None, None, "no date is known on which the filter was put in")
    return Filter(min(days), None, f"no change of filters is recorded: taken as in place since {min(days)}")


def beds_of(validation: Validation | None) -> int:
    """Number of beds of the validated stack; one where no validation stands."""
    if validation is None:
        return 1
    return len(validation.assessment.inputs.get("cabinet", {}).get("filters", {}).get("bed", [])) or 1


def asked_of(assessment: Assessment, installed: datetime.date) -> Asked:
    """What a stored assessment was asked; the same gives the same draws.

    Parameters
    ----------
    assessment : Assessment
    installed : datetime.date
        When the filter was put in.
    """
    inputs: dict[str, Any] = assessment.inputs
    stored = assessment.inventory
    return Asked(
        read_inventory(bytes(stored.content), stored.name),
        parse_cabinet(inputs["cabinet"]),
        parse_room(inputs["room"]),
        installed,
        seed=int(inputs.get("seed", 1)),
        draws=int(inputs.get("draws", 1000)),
    )


def without_past(asked: Asked) -> Asked:
    """The same of a filter that served nothing before: another one, or one whose past is counted elsewhere.

    Parameters
    ----------
    asked : Asked
    """
    filters = asked.cabinet.filters
    if not filters.served:
        return asked
    return replace(asked, cabinet=replace(asked.cabinet, filters=replace(filters, served=())))


@lru_cache(maxsize=16)
def read_inventory(content: bytes, name: str) -> Inventory:
    """The inventory in a file's contents; what was read last is kept, for pages and assessments alike."""
    return inventory.read_bytes(content, name)
