"""What is in a cabinet on a day: which filter and since when, which validation stands, and what that was asked."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from stillroom import inventory
from stillroom.cabinet.load import parse_cabinet
from stillroom.inventory.model import Inventory
from stillroom.records.models import Assessment, Cabinet, FilterChange, Validation
from stillroom.room.load import parse_room
from stillroom.services.reading import Asked

__all__ = ["Filter", "asked_of", "beds_of", "filter_before", "filter_in", "standing_in"]

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
    rows = cabinet.validations.select_related(
        "assessment", "assessment__inventory", "superseded_by", "withdrawal"
    )
    for row in rows.order_by("-version"):
        runs = row.valid_until is None or on <= row.valid_until
        positive = row.meaning == Validation.Meaning.APPROVED and row.assessment.verdict in APPROVING
        over = hasattr(row, "withdrawal") or hasattr(row, "superseded_by")
        if positive and runs and not over:
            found: Validation = row
            return found
    return None


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
    change = cabinet.filter_changes.filter(on__lte=on).order_by("-on", "-pk").first()
    return _of(change) if change else _unrecorded(cabinet, on)


def filter_before(change: FilterChange) -> Filter:
    """The filter that a change took out.

    Parameters
    ----------
    change : FilterChange
    """
    cabinet: Cabinet = change.cabinet
    earlier = cabinet.filter_changes.filter(on__lt=change.on).order_by("-on", "-pk").first()
    return _of(earlier) if earlier else _unrecorded(cabinet, change.on)


def _of(change: FilterChange) -> Filter:
    return Filter(change.on, change, f"put in on {change.on}")


def _unrecorded(cabinet: Cabinet, on: datetime.date) -> Filter:
    told = [_told(row.assessment) for row in cabinet.validations.select_related("assessment")]
    days = [day for day in (*told, cabinet.commissioned) if day is not None and day <= on]
    if not days:
        return Filter(None, None, "no date is known on which the filter was put in")
    return Filter(min(days), None, f"no change of filters is recorded: taken as in place since {min(days)}")


def _told(assessment: Assessment) -> datetime.date | None:
    """When an assessment takes the filter to be put in: its own word, else its date."""
    inputs = assessment.inputs
    installed = inputs.get("cabinet", {}).get("filters", {}).get("installed", "")
    for text in (installed, inputs.get("date", "")):
        try:
            return datetime.date.fromisoformat(text)
        except ValueError:
            continue
    return None


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
        _inventory(bytes(stored.content), stored.name),
        parse_cabinet(inputs["cabinet"]),
        parse_room(inputs["room"]),
        installed,
        seed=int(inputs.get("seed", 1)),
        draws=int(inputs.get("draws", 1000)),
    )


@lru_cache(maxsize=16)
def _inventory(content: bytes, name: str) -> Inventory:
    return inventory.read_bytes(content, name)
