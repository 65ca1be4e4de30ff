"""What a changed copy is compared with: the validation that it was started from, else the copy's own origin."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, NamedTuple

from stillroom.records.models import Assessment, Validation

__all__ = ["Origin", "origin_of"]

_LONGEST = 100
"""Copies of copies that are looked back through."""


class Origin(NamedTuple):
    """An assessment that another was changed from, its validation where it was signed, and its record."""

    assessment: Assessment
    validation: Validation | None
    record: Mapping[str, Any]


def origin_of(after: Assessment) -> Origin | None:
    """The nearest signed one that a copy goes back to; where none is signed, the nearest that was assessed.

    Parameters
    ----------
    after : Assessment
    """
    nearest, case = None, after.parent
    for _step in range(_LONGEST):
        if case is None:
            break
        validation = Validation.objects.filter(assessment=case).first()
        if validation:
            return Origin(case, validation, json.loads(validation.record_text))
        nearest = nearest or (None if case.is_draft else case)
        case = case.parent
    return Origin(nearest, None, nearest.record) if nearest else None
