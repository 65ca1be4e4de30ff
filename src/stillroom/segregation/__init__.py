"""Segregation: what must be kept apart, and where everything stands. Exports load on first use."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from stillroom.segregation.model import SEVERITIES, Conflict, Severity

if TYPE_CHECKING:
    from stillroom.segregation.elsewhere import Further, fewest_out, further, said
    from stillroom.segregation.placement import place
    from stillroom.segregation.plan import Placed, Plan
    from stillroom.segregation.rules import conflicts, pair_conflict, remarks
    from stillroom.segregation.settled import Settled, settle

__all__ = [
    "SEVERITIES",
    "Conflict",
    "Further",
    "Placed",
    "Plan",
    "Settled",
    "Severity",
    "conflicts",
    "fewest_out",
    "further",
    "pair_conflict",
    "place",
    "remarks",
    "said",
    "settle",
]

_LAZY = {
    "Further": "elsewhere",
    "Placed": "plan",
    "Plan": "plan",
    "Settled": "settled",
    "conflicts": "rules",
    "fewest_out": "elsewhere",
    "further": "elsewhere",
    "pair_conflict": "rules",
    "place": "placement",
    "remarks": "rules",
    "said": "elsewhere",
    "settle": "settled",
}


def __getattr__(name: str) -> Any:
    if name not in _LAZY:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_LAZY[name]}"), name)
