"""What a changed copy is compared with: the validation that it was started from, else the copy's own origin."""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping
from typing import Any, NamedTuple

from django.utils.translation import gettext as _

from stillroom.records.models import Assessment, Validation

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
    if hasattr(validation, "withdrawal"):
        return _("withdrawn")
    if hasattr(validation, "superseded_by"):
        return _("superseded by %d") % validation.superseded_by.number
    if validation.valid_until and validation.valid_until < today:
        return _("past its date, %s") % validation.valid_until
    return _("standing") if validation.meaning == Validation.Meaning.APPROVED else _("no approval")
