from __future__ import annotations

from dataclasses import dataclass

from stillroom.records.models import Assessment
from stillroom.web.difference.compare import Pair


@dataclass(frozen=True)
class DifferenceContext:
    before: Assessment
    after: Assessment
    inputs: list[Pair]
    containers: list[Pair]
    outcomes: list[Pair]
    substances: list[tuple[str, list[Pair]]]
