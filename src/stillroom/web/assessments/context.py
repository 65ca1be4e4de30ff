from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.records.models import Assessment


@dataclass(frozen=True)
class AssessmentsContext:
    assessments: Sequence[Assessment]
    organisation: str
    may_write: bool
