"""Numbers as people read them: fractions in per cent, intervals, days, dates. Unknown is a word, never a zero."""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable

from stillroom.assessment.record import IntervalRecord
from stillroom.documents.words import Words

__all__ = ["day", "days", "interval", "number", "percent", "same_everywhere"]


def number(value: float) -> str:
    """Two significant digits, or all digits before the point; a thin space groups thousands.

    Examples
    --------
    >>> number(0.0314), number(2.5), number(0.0), number(1234.4)
    ('0.031', '2.5', '0', '1\\u202f234')
    """
    if value == 0:
        return "0"
    places = max(0, 1 - math.floor(math.log10(abs(value)) + 1e-12))
    text = f"{value:,.{places}f}".replace(",", "\u202f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def percent(fraction: float, *, least: float = 1e-6) -> str:
    """A fraction in per cent; below `least` only that it is below.

    Examples
    --------
    >>> percent(0.00023), percent(1e-9), percent(0.0), percent(2.41)
    ('0.023', '<\\u202f0.0001', '0', '241')
    """
    if 0 < fraction < least:
        return f"<\u202f{number(100 * least)}"
    return number(100 * fraction)


def days(value: float) -> str:
    """Days, rounded down: a life is never rounded up."""
    return f"{math.floor(value):,}".replace(",", "\u202f")


def same_everywhere(triple: IntervalRecord, show: Callable[[float], str]) -> bool:
    """Do all three values print alike?"""
    values = [triple["p05"], triple["p50"], triple["p95"]]
    return None not in values and len({show(value) for value in values if value is not None}) == 1


def interval(triple: IntervalRecord | None, show: Callable[[float], str], words: Words) -> list[str]:
    """Median and “5 % – 95 %” as two strings; an end that was not computed is a word.

    Examples
    --------
    >>> from stillroom.documents.words import ENGLISH
    >>> interval({"p05": 1.0, "p50": 2.0, "p95": None}, number, ENGLISH)
    ['2', '1 – none']
    """
    if triple is None or all(value is None for value in (triple["p05"], triple["p50"], triple["p95"])):
        return [words["no value"], ""]
    shown = [
        words["none"] if (value := triple[key]) is None else show(value) for key in ("p05", "p50", "p95")
    ]
    if len(set(shown)) == 1:
        return [shown[0], ""]
    return [shown[1], f"{shown[0]} – {shown[2]}"]


def day(date: str, words: Words, *, short: bool = False) -> str:
    """An ISO date with its month in words: no reader takes the month for the day. Empty stays empty."""
    if not date:
        return ""
    parsed = datetime.date.fromisoformat(date)
    month = words["months"].split()[parsed.month - 1]
    return f"{parsed.day}\u00a0{month[:3] if short else month}\u00a0{parsed.year}"
