"""The saturation clock: the marker vapour comes through.

The marker is the vapour that the user names; else the most weakly held among those that need the filter in normal
storage. Where nothing needs it there, the clock does not run: the reserve clock watches over the spills, on a filter that
the room has loaded, and when the vapour of the room's own that fills it most is expected through is said in words.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stillroom.assessment.case import Case
from stillroom.assessment.checks.room_load import when_through
from stillroom.assessment.numbers import cautious_peak
from stillroom.assessment.result import Clock, Normal, RoomLoad
from stillroom.assessment.vapours import Vapours

__all__ = ["saturation_clock"]

Array = NDArray[np.float64]
_DAY = 86400.0


def saturation_clock(
    case: Case, normal: Normal, vapours: Vapours, inlet: Array, loads: tuple[RoomLoad, ...]
) -> Clock:
    """The saturation clock.

    Parameters
    ----------
    case : Case
    normal : Normal
    vapours : Vapours
    inlet : ndarray, shape (n_v, size)
        Normal load of the filter [mol/m³].
    loads : tuple of RoomLoad
        The room's own vapours, the one of which most stays on the filter first.
    """
    rules = case.room.rules
    size = vapours.size
    if not vapours.cas:
        return Clock("saturation", np.full(size, np.inf), "", "No vapour reaches the filter.")
    days = vapours.stack.time_to(rules.saturation_fraction, inlet) / _DAY
    present = inlet.max(axis=1) > 0
    # where an outlet at that share of the inlet would still keep the criterion, its passing is no alarm
    needing = (
        rules.saturation_fraction * np.array([cautious_peak(row) for row in normal.unfiltered])
        > rules.criterion_fraction
    )
    if rules.marker_cas:
        if rules.marker_cas not in vapours.cas:
            words = f"The marker {rules.marker_cas} that the site names is not among the vapours here."
            return Clock("saturation", np.full(size, np.inf), "", words)
        place, why = vapours.cas.index(rules.marker_cas), "named by the site"
    elif (needing & present).any():
        candidates = np.flatnonzero(needing & present)
        place = int(candidates[np.argmin(np.median(days[candidates], axis=1))])
        why = "the most weakly held of those that need the filter in normal storage"
    else:
        words = "In normal storage nothing here needs the filter, so no vapour's passing is an alarm; spills are watched by the reserve clock."
        if loads:
            words += f" The room's own {loads[0].name} loads the filter most; it comes through {when_through(loads[0], case)}."
        return Clock("saturation", np.full(size, np.inf), "", words)
    percent = 100 * rules.saturation_fraction
    words = f"The exhaust reaches {percent:g} % of the inlet for the marker vapour: {why}."
    if (
        not rules.marker_cas
    ):  # the same in each draw: where that outlet keeps the criterion, its passing is no alarm
        alarm = rules.saturation_fraction * normal.unfiltered[place] > rules.criterion_fraction
        days = np.where(alarm, days, np.inf)
    return Clock("saturation", days[place], vapours.cas[place], words)
