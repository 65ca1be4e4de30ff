"""When the next visit is, and what a photoionisation detector can see at it.

First form: a plain rule for the date, and visibility from published ionisation energies.
"""

from __future__ import annotations

from stillroom.monitoring.instruments import (
    HANDHELD,
    LAMPS,
    LOW_RANGE,
    USUAL_RESPONSE,
    Visibility,
    all_lamps,
    check_point,
    visibility,
)
from stillroom.monitoring.schedule import Visit, next_visit

__all__ = [
    "HANDHELD",
    "LAMPS",
    "LOW_RANGE",
    "USUAL_RESPONSE",
    "Visibility",
    "Visit",
    "all_lamps",
    "check_point",
    "next_visit",
    "visibility",
]
