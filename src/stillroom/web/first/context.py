from __future__ import annotations

from dataclasses import dataclass

from stillroom.web.first.form import FirstForm


@dataclass(frozen=True)
class FirstContext:
    form: FirstForm
