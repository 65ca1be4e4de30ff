"""Whether a validation still holds on a day, and why not."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import Literal

from stillroom.records.models import Cabinet, Validation
from stillroom.services.in_place import standing_in

__all__ = ["Kind", "State", "standing_in", "state_of", "validations_of"]

Kind = Literal["standing", "superseded", "withdrawn", "expired", "refused"]


@dataclass(frozen=True, slots=True)
class State:
    """What a validation is on a day."""

    kind: Kind
    since: datetime.date | None = None
    reason: str = ""
    """of a withdrawal"""
    by: Validation | None = None
    """the one that superseded it"""

    @property
    def holds(self) -> bool:
        return self.kind == "standing"


def state_of(validation: Validation, on: datetime.date) -> State:
    """The state on a day. What was refused never stood; a withdrawal outweighs a successor, and that the date.

    Parameters
    ----------
    validation : Validation
    on : datetime.date
    """
    if validation.meaning != Validation.Meaning.APPROVED:
        return State("refused", validation.signed_at.date())
    withdrawal = getattr(validation, "withdrawal", None)
    if withdrawal is not None:
        return State("withdrawn", withdrawal.at.date(), withdrawal.reason)
    after = getattr(validation, "superseded_by", None)
    if after is not None:
        return State("superseded", after.signed_at.date(), by=after)
    if validation.valid_until is not None and on > validation.valid_until:
        return State("expired", validation.valid_until)
    return State("standing", validation.signed_at.date())


def validations_of(cabinet: Cabinet) -> list[Validation]:
    """All of a cabinet, newest first, with what their state needs."""
    rows = cabinet.validations.select_related("withdrawal", "superseded_by", "assessment").defer(
        "record_text"
    )
    return list(rows.order_by("-version"))
