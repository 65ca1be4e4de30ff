from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.records.models import Cabinet, Validation, Visit
from stillroom.services.standing import State
from stillroom.web.kept.form import CabinetForm


@dataclass(frozen=True)
class KeptContext:
    cabinet: Cabinet | None
    form: CabinetForm | None
    standing: Validation | None
    validations: Sequence[tuple[Validation, State]]
    visits: Sequence[Visit]
