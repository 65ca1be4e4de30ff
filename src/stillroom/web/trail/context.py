from __future__ import annotations

from dataclasses import dataclass

from django.core.paginator import Page

from stillroom.records.trail import Head


@dataclass(frozen=True)
class TrailContext:
    events: Page
    head: Head
