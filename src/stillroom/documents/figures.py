"""Numbers as people read them: fractions in per cent, intervals, days, dates. Unknown is a word, never a zero."""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Iterable

from stillroom.assessment.record import IntervalRecord
from stillroom.documents.words import Words

__all__ = ["day", "days", "interval", "number", "percent", "plain", "rounded", "spans"]

RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def plain(value: float) -> str:
    """A value as it was stated: all its digits, no exponent, a thin space between thousands.

    Examples
    --------
    >>> plain(0.05), plain(1000.0), plain(1e-5)
    ('0.05', '1\u202f000', '0.00001')
    """
    text = f"{value:,.10f}".rstrip("0").rstrip(".")
    return text.replace(",", "\u202f")


def number(value: float) -> str:
    """A computed value: two significant digits, or all before the point; powers of ten below 0.0001.

    Examples
    --------
    >>> number(0.0314), number(2.0), number(0.0), number(1234.4), number(0.0000023)
    ('0.031', '2.0', '0', '1\u202f234', '2.3\u202f×\u202f10⁻⁶')
    """
    if value == 0:
        return "0"
    mantissa, power = f"{value:.1e}".split("e")
    if int(power) < -4:
        return f"{mantissa}\u202f×\u202f10{str(int(power)).translate(RAISED)}"
    return f"{value:,.{max(0, 1 - int(power))}f}".replace(",", "\u202f")


def percent(fraction: float, *, least: float = 1e-6) -> str:
    """A fraction in per cent; below `least` only that it is below.

    Examples
    --------
    >>> percent(0.00023), percent(1e-9), percent(0.0), percent(2.41)
    ('0.023', '<\\u202f0.0001', '0', '241')
    """
    if 0 < fraction < least:
        return f"<\u202f{plain(100 * least)}"
    return number(100 * fraction)


def rounded(value: float, decimals: int) -> str:
    """A computed value with two significant digits, but never more than `decimals` behind the point; less only as less.

    Examples
    --------
    >>> rounded(0.0412, 3), rounded(0.0094, 3), rounded(0.0003, 3), rounded(0.0, 3), rounded(271.3, 2)
    ('0.041', '0.009', '<\\u202f0.001', '0', '271')
    """
    if 0 < value < 0.5 * 10.0**-decimals:
        return f"<\u202f{plain(10.0**-decimals)}"
    shown = number(value)
    return shown if len(shown.partition(".")[2]) <= decimals and "×" not in shown else f"{value:.{decimals}f}"


def days(value: float) -> str:
    """Days, rounded down: a life is never rounded up."""
    return f"{math.floor(value):,}".replace(",", "\u202f")


def interval(triple: IntervalRecord | None, show: Callable[[float], str], words: Words) -> list[str]:
    """Median and “5 % – 95 %” as two strings; an end that was not computed is a word.

    Examples
    --------
    >>> from stillroom.documents.words import ENGLISH
    >>> interval({"p05": 1.0, "p50": 2.0, "p95": None}, number, ENGLISH)
    ['2.0', '1.0 – none']
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


def spans(numbers: Iterable[int]) -> str:
    """Whole numbers in their order, each once; runs of three and more as "3–7".

    Examples
    --------
    >>> spans([10, 1, 2, 3, 7, 9, 3]), spans([])
    ('1–3, 7, 9, 10', '')
    """
    runs: list[list[int]] = []
    for value in sorted(set(numbers)):
        if runs and value == runs[-1][-1] + 1:
            runs[-1].append(value)
        else:
            runs.append([value])
    return ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs)
