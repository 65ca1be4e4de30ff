"""What is known of a substance: identity, properties, limits, hazards.

`properties` and `hazards` are functions here and rooms of the same name beneath; both are imported now, so that a
later import of the room does not put a module in the function's place. Their tables still load when first asked.
"""

from __future__ import annotations

from stillroom.substances.hazards import hazards
from stillroom.substances.identity import check_digit, name_of, resolve
from stillroom.substances.model import (
    Admission,
    Hazards,
    Limit,
    LimitChoice,
    Ordering,
    Properties,
    Resolution,
    Substance,
)
from stillroom.substances.properties import properties

__all__ = [
    "Admission",
    "Hazards",
    "Limit",
    "LimitChoice",
    "Ordering",
    "Properties",
    "Resolution",
    "Substance",
    "check_digit",
    "hazards",
    "name_of",
    "properties",
    "resolve",
]
