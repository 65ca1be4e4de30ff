from __future__ import annotations

from dataclasses import dataclass

from stillroom.web.new.form import NewForm


@dataclass(frozen=True)
class NewContext:
    form: NewForm
