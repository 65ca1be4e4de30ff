"""Forecast when a cabinet's filter must be replaced, from what was validated and what was read since."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from stillroom.records.models import Cabinet, Validation
from stillroom.services.history import Answer, History, Signed, history_of
from stillroom.services.in_place import Filter, filter_at, standing

__all__ = ["Forecast", "differences", "forecast", "foreseen", "record_beds"]

_LIGHTER = 0.98
"""Share of the validated mass of a bed down to which it counts as the same: weighing and settling (own choice) [-]."""


@dataclass(frozen=True, slots=True)
class Forecast:
    """When the filter is spent. A date that no computation reaches is None."""

    since: datetime.date | None
    """when the filter was put in"""
    by: datetime.date | None
    """replace by: the label's cautious date, or an earlier one that readings give; None: it cannot be told"""
    p05: datetime.date | None
    p50: datetime.date | None
    p95: datetime.date | None
    basis: str
    """"readings", "validation" or "nothing" """
    words: tuple[str, ...]
    readings: str = ""
    """what the last readings on this filter said: "consistent", "inconsistent", or nothing"""


def forecast(cabinet: Cabinet, today: datetime.date) -> Forecast:
    """The next replacement of a cabinet's filter, with its interval; see `foreseen`.

    Parameters
    ----------
    cabinet : Cabinet
    today : datetime.date
        The clock is never asked.
    """
    return foreseen(history_of(cabinet), today)


def foreseen(history: History, today: datetime.date) -> Forecast:
    """The next replacement with its interval, from what is kept of a cabinet.

    Parameters
    ----------
    history : History
    today : datetime.date
        The clock is never asked.

    Notes
    -----
    The interval is that of the last consistent readings on this filter under the standing validation, else the
    validation's own, counted from the day the filter was put in. Readings may bring `by` forward; only a new
    validation puts it off.
    """
    filters, validation = filter_at(history, today), standing(history, today)
    words = [f"The filter: {filters.words}."]
    if validation is None or filters.since is None:
        return _nothing(
            filters, [*words, "No validation stands for this cabinet."] if validation is None else words
        )
    unlike = differences(filters.change.stack, validation.beds) if filters.change else []
    if unlike:
        mend = "Validate the cabinet with the filter that is in it."
        return _nothing(
            filters, [*words, f"It is not the one that was validated: {'; '.join(unlike)}.", mend]
        )
    leak = filters.change.leak_check.get("result") if filters.change else ""
    if leak == "failed":
        return _nothing(
            filters, [*words, "Its leak check failed: until it passes, the filter protects nobody."]
        )
    if leak == "not done":
        words.append("Its seal was not checked for leaks: read the exhaust soon.")
    by = _after(filters.since, validation.label_life_days)
    told = _last_answer(history, filters.since, today, validation)
    if told and told.verdict == "inconsistent":
        words.append(
            "The last readings do not fit what was assessed: find out why before this date is trusted."
        )
    if told and told.verdict == "consistent":
        ends = _ends(told.on, told.life)
        words.append(f"Interval from the readings up to {told.on}.")
        surely = _after(told.on, told.life.get("cautious", told.life["p05"]))
        if surely and (by is None or surely < by):
            by = surely
            words.append("The readings bring the replacement forward.")
        words += _why_sooner(by, ends[0])
        return Forecast(filters.since, by, *ends, "readings", tuple(words), "consistent")
    ends = _ends(filters.since, validation.life_days)
    words.append(f"Interval from validation {validation.row.number}.")
    words += _why_sooner(by, ends[0])
    return Forecast(filters.since, by, *ends, "validation", tuple(words), told.verdict if told else "")


def record_beds(validation: Validation) -> list[dict[str, Any]]:
    """The beds that were validated, with medium and mass: as a filter change writes them down."""
    beds = validation.assessment.inputs.get("cabinet", {}).get("filters", {}).get("bed", [])
    return [{"medium": bed["medium"], "mass_kg": bed["mass_kg"]} for bed in beds]


def differences(put_in: Sequence[Mapping[str, Any]], validated: Sequence[Mapping[str, Any]]) -> list[str]:
    """In what the beds put in fall short of those validated; more carbon of the same kind is no shortfall.

    Parameters
    ----------
    put_in, validated : sequence of mappings
        In the order in which the air meets them; ``medium`` and ``mass_kg`` [kg].

    Examples
    --------
    >>> differences([{"medium": "coconut", "mass_kg": 7.0}], [{"medium": "coconut", "mass_kg": 8.0}])
    ['bed 1 holds 7 kg, 8 kg were validated']
    """
    if len(put_in) != len(validated):
        return [f"{len(put_in)} beds were put in, {len(validated)} were validated"]
    found = []
    for number, (new, old) in enumerate(zip(put_in, validated, strict=True), 1):
        if new["medium"] != old["medium"]:
            found.append(f"bed {number} is {new['medium']}, {old['medium']} was validated")
        elif new["mass_kg"] < _LIGHTER * old["mass_kg"]:
            found.append(f"bed {number} holds {new['mass_kg']:g} kg, {old['mass_kg']:g} kg were validated")
    return found


def _why_sooner(by: datetime.date | None, p05: datetime.date | None) -> list[str]:
    """Why the date to keep lies before the 5 % point, where it does."""
    if by is None or (p05 is not None and by >= p05):
        return []
    return [
        "The date is sooner than the interval: it allows for how well the early end is known and for the longest "
        "time a filter may be kept, and no reading puts it off."
    ]


def _last_answer(
    history: History, since: datetime.date, today: datetime.date, validation: Signed
) -> Answer | None:
    """What the readings last said of this filter under this validation; "cannot tell" says nothing."""
    fitting = [
        item
        for item in history.answers
        if since <= item.on <= today
        and item.validation == validation.row.key
        and item.installed == since.isoformat()
        and item.verdict != "cannot tell"
    ]
    return max(fitting, key=lambda item: (item.on, item.at), default=None)


def _after(start: datetime.date, days: float | None) -> datetime.date | None:
    """A day so many whole days later; None where that is not within the time computed."""
    return None if days is None or days > 36_500 else start + datetime.timedelta(days=int(days))


def _ends(
    start: datetime.date, days: Mapping[str, float | None]
) -> tuple[datetime.date | None, datetime.date | None, datetime.date | None]:
    return _after(start, days["p05"]), _after(start, days["p50"]), _after(start, days["p95"])


def _nothing(filters: Filter, words: list[str]) -> Forecast:
    return Forecast(filters.since, None, None, None, None, "nothing", tuple(words))
