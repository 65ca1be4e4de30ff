from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.records.models import Cabinet, Visit
from stillroom.web.visit.form import VisitForm


@dataclass(frozen=True)
class VisitContext:
    cabinet: Cabinet
    form: VisitForm | None
    """None where there is no instrument yet"""
    earlier: Sequence[Visit]
    stands: bool
    """whether a validation stands"""
