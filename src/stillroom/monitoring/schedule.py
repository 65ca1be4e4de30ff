"""The date of the next visit, by a plain rule."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass

from stillroom.errors import InputError, Problem

__all__ = ["Visit", "next_visit"]

_SHORT = 14.0
"""A life shorter than this is said in words [days]."""


@dataclass(frozen=True, slots=True)
class Visit:
    """The next visit: when, how many days from the assessment [days], and the rule in words."""

    next_visit: datetime.date
    interval_days: float
    rule: str


def next_visit(
    *,
    date: datetime.date,
    cautious_life_days: float | None,
    fraction: float = 0.5,
    longest_days: float = 182.0,
) -> Visit:
    """The date of the next visit: a fraction of the cautious life, six months at most; both can be changed.

    Parameters
    ----------
    date : datetime.date
        From when.
    cautious_life_days : float or None
        Service life at the cautious 5 % end [days]; None where it does not end within the horizon.
    fraction : float
        Of that life [-], above 0 and at most 1.
    longest_days : float
        Longest interval [days].

    Returns
    -------
    Visit
        The interval is rounded down to whole days, so that the visit is never after the rule's day.

    Notes
    -----
    Half the cautious life, six months at most: common practice, no source.

    Examples
    --------
    A cautious life of 100 days:

    >>> next_visit(date=datetime.date(2026, 1, 1), cautious_life_days=100.0).next_visit.isoformat()
    '2026-02-20'
    """
    _check(cautious_life_days, fraction, longest_days)
    if cautious_life_days is None:
        days = math.floor(longest_days)
        rule = f"the longest interval, {days} days: the filter's life does not end within the time looked at"
        return Visit(date + datetime.timedelta(days=days), float(days), rule)
    days = math.floor(min(fraction * cautious_life_days, longest_days))
    if fraction * cautious_life_days > longest_days:
        rule = f"the longest interval, {math.floor(longest_days)} days, shorter than "
        rule += f"{fraction:.0%} of the cautious life of {cautious_life_days:.0f} days"
    else:
        rule = f"{fraction:.0%} of the cautious life of {cautious_life_days:.0f} days"
    if cautious_life_days < _SHORT:
        rule += (
            f". A life under {_SHORT:.0f} days cannot be watched by visits: change the filter or the contents"
        )
    return Visit(date + datetime.timedelta(days=days), float(days), rule)


def _check(life: float | None, fraction: float, longest: float) -> None:
    problems = []
    if life is not None and not (math.isfinite(life) and life >= 0):
        problems.append(
            Problem(
                "the life is no number of days", "Give days, or nothing where it never ends", found=str(life)
            )
        )
    if not 0 < fraction <= 1:
        problems.append(
            Problem(
                "the fraction of the life must lie between 0 and 1", "Write 0.5 for half", found=str(fraction)
            )
        )
    if not (math.isfinite(longest) and longest >= 1):
        problems.append(
            Problem(
                "the longest interval must be a day at least", "Write 182 for six months", found=str(longest)
            )
        )
    if problems:
        raise InputError(problems)
