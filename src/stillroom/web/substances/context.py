from __future__ import annotations

from dataclasses import dataclass

from stillroom.web.substances.lookup import Found


@dataclass(frozen=True)
class SubstancesContext:
    query: str
    reason: str
    near: tuple[str, ...]
    found: Found | None
