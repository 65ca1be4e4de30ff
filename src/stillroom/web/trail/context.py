from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.core.paginator import Page

from stillroom.records.models import Event
from stillroom.records.trail import Head
from stillroom.services.check_log import Whole


@dataclass(frozen=True)
class TrailContext:
    events: Page
    lines: Sequence[tuple[Event, str]]
    """each with what is wrong with it, empty where nothing is"""
    wrong: int
    head: Head
    whole: Whole | None
    """what a look at the whole log found; None where it was not asked for"""
