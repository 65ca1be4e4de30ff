"""The room's relative humidity in each draw."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stillroom.room.model import Room

__all__ = ["draw_humidity"]

Array = NDArray[np.float64]


def draw_humidity(room: Room, rng: np.random.Generator, size: int) -> Array:
    """Relative humidity that the filter meets, shape (size,) [-].

    Parameters
    ----------
    room : Room
        With one number, a range, or monthly means.
    rng : numpy.random.Generator
        Source of randomness.
    size : int
        Number of draws [-].

    Notes
    -----
    One number stands in every draw. A range is drawn evenly: the 5 % end of what follows then leans to its humid end. Of
    monthly means the most humid stands in every draw: carbon takes up and gives off water within days, a filter meets
    that month sooner or later, and what it took up in drier months has to stay on it then.
    """
    if len(room.humidity_course) == 2:
        return rng.uniform(*room.humidity_course, size)
    return np.full(size, room.relative_humidity)
