"""Hazards and the gate: may it be here at all, with what not beside it, and how much of it.

``stillroom.substances.hazards`` is both this package and, as an attribute of ``stillroom.substances``, the
function `hazards`; the package can be called like the function, whichever of the two was bound last.
"""

from __future__ import annotations

import sys
from types import ModuleType

from stillroom.substances.hazards.flammables import (
    FlammableLimit,
    flammable_category,
    flammable_limits,
    flammables_check,
    known_without_flash_point,
)
from stillroom.substances.hazards.lookup import hazards
from stillroom.substances.hazards.peroxides import peroxide_note
from stillroom.substances.hazards.structure import reactive_groups
from stillroom.substances.hazards.words import refused_by_words
from stillroom.substances.model import Hazards

__all__ = [
    "FlammableLimit",
    "flammable_category",
    "flammable_limits",
    "flammables_check",
    "hazards",
    "known_without_flash_point",
    "peroxide_note",
    "reactive_groups",
    "refused_by_words",
]


class _Callable(ModuleType):
    """Lets ``substances.hazards(…)`` work also after this package took the function's place there."""

    def __call__(self, cas: str, *, mass_fraction: float | None = 1.0, state: str = "") -> Hazards:
        return hazards(cas, mass_fraction=mass_fraction, state=state)


sys.modules[__name__].__class__ = _Callable
