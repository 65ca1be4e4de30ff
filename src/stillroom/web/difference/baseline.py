"""What a changed copy is compared with: the validation that it was started from, else the copy's own origin."""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping
from typing import Any, NamedTuple

from django.utils.translation import gettext as _

from stillroom.records.models import Assessment, Validation
from stillroom.services.standing import state_of

__all__ = ["Baseline", "baseline", "state"]

_LONGEST = 100
"""Copies of copies that are looked back through."""


class Baseline(NamedTuple):
    assessment: Assessment
    validation: Validation | None
    record: Mapping[str, Any]


def baseline(after: Assessment) -> Baseline | None:
    """The nearest signed one among its origins; where none is signed, the nearest that was assessed."""
    nearest, case = None, after.parent
    for _step in range(_LONGEST):
        if case is None:
            break
        validation = Validation.objects.filter(assessment=case).first()
        if validation:
            return Baseline(case, validation, json.loads(validation.record_text))
        nearest = nearest or (None if case.is_draft else case)
        case = case.parent
    return Baseline(nearest, None, nearest.record) if nearest else None


def state(validation: Validation, today: datetime.date) -> str:
    """Whether it still holds, in words."""
    found = state_of(validation, today)
    return {
        "standing": _("standing"),
        "withdrawn": _("withdrawn"),
        "superseded": _("superseded by %d") % found.by.number if found.by else "",
        "expired": _("past its date, %s") % found.since,
        "refused": _("no approval"),
    }[found.kind]
