"""When the next visit is, what an instrument can see at it, and what its readings say of the filter.

`readings` (what was read) → `expected` (what should have been, draw by draw) → `judge` (band, weights, causes);
`series` turns a fixed sensor's file into readings. Nothing here knows the assessment: it is given arrays.
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
from stillroom.monitoring.readings import POINTS, Instrument, InstrumentErrors, Reading, Response
from stillroom.monitoring.schedule import Visit, next_visit

__all__ = [
    "HANDHELD",
    "LAMPS",
    "LOW_RANGE",
    "POINTS",
    "USUAL_RESPONSE",
    "Instrument",
    "InstrumentErrors",
    "Reading",
    "Response",
    "Visibility",
    "Visit",
    "all_lamps",
    "check_point",
    "next_visit",
    "visibility",
]
