"""The age clock: the longest interval that the maker or the site allows."""

from __future__ import annotations

import numpy as np

from stillroom.assessment.result import Clock
from stillroom.cabinet.design import Cabinet

__all__ = ["age_clock"]


def age_clock(cabinet: Cabinet, size: int) -> Clock:
    """The age clock, the same in all draws.

    Parameters
    ----------
    cabinet : Cabinet
    size : int
        Draws [-].
    """
    said = "as stated for this cabinet" if cabinet.max_age_source == "user" else "common practice, no source"
    words = f"The filter is replaced after {cabinet.max_age_days:g} days at the latest ({said})."
    return Clock("age", np.full(size, cabinet.max_age_days), "", words)
