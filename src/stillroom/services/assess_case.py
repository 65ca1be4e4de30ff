"""Assess a stored case: the same inputs give the same record."""

from __future__ import annotations

import datetime
import json
from typing import Any

from stillroom.records.models import Assessment
from stillroom.services.assess import assess
from stillroom.services.in_place import asked_of

__all__ = ["assess_case"]


def assess_case(case: Assessment) -> dict[str, Any]:
    """The record that the stored inputs give with today's program, media and lists; nothing is kept.

    Parameters
    ----------
    case : Assessment
        With its inventory, cabinet and room.
    """
    date = datetime.date.fromisoformat(case.inputs["date"])
    asked = asked_of(case, date)
    record = assess(
        asked.inventory,
        asked.cabinet,
        asked.room,
        date=date,
        title=case.title,
        seed=asked.seed,
        draws=asked.draws,
        invented=bool(case.inputs.get("invented", False)),
    )
    again: dict[str, Any] = json.loads(json.dumps(record, allow_nan=False))
    return again
