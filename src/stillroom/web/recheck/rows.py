"""Validations as the page and the banner show them."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from stillroom.records.models import Cabinet, Organisation, Validation
from stillroom.services.recheck import in_force, known, look

__all__ = ["Row", "row_of", "rows_of", "standing_row"]


@dataclass(frozen=True)
class Row:
    """One validation: why it is to be looked at, and what it would be today where that was computed."""

    validation: Validation
    look: Mapping[str, Any]
    answer: Mapping[str, Any] | None

    @property
    def open(self) -> bool:
        """Whether something changed and nobody computed yet what that does."""
        return bool(self.look["changed"]) and self.answer is None

    @property
    def differs(self) -> bool:
        return self.answer is not None and self.answer["differs"] is not False

    @property
    def concerns(self) -> bool:
        return bool(self.look["past"] or self.look["changed"] or self.differs)

    @property
    def reasons(self) -> list[str]:
        found = []
        if self.look["past"]:
            found.append(
                _("It held until %(day)s, %(n)d days ago.")
                % {"day": self.look["validation"]["valid_until"], "n": self.look["days_past"]}
            )
        for change in self.look["changed"]:
            found.append(_("Changed since: %(what)s, from “%(then)s” to “%(now)s”.") % change)
        return found


def row_of(validation: Validation, today: datetime.date) -> Row:
    return Row(validation, look(validation, today), known(validation))


def rows_of(organisation: Organisation, today: datetime.date) -> list[Row]:
    """What differs first, then what is open, then what is past its date."""
    rows = [row_of(validation, today) for validation in in_force(organisation)]
    return sorted(rows, key=lambda row: (not row.differs, not row.open, not row.look["past"]))


def standing_row(cabinet: Cabinet, today: datetime.date) -> Row | None:
    """The row of one cabinet's validation; none where nothing approves it."""
    rows = [row for row in in_force(cabinet.organisation) if row.cabinet_id == cabinet.pk]
    return row_of(rows[0], today) if rows else None
