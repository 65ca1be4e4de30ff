"""Container sizes as people write them together: "2.5 L", "4 x 500 mL", "2 x 2.5 l Winchester"."""

from __future__ import annotations

import re
from dataclasses import dataclass

from stillroom.units import DecimalMark, Quantity, QuantityError, parse_number, parse_quantity

__all__ = ["Size", "parse_count", "parse_size"]

MOST_VOLUME = 1.0
"""Largest container [m³]; more is taken for a slip."""
MOST_MASS = 1000.0
"""[kg]"""
MOST_COUNT = 10_000
_CONTAINER = (
    r"winchesters?|bottles?|vials?|cans?|tins?|drums?|jars?|ampou?les?|bags?|cylinders?|flasks?|carboys?|jerrycans?"
    r"|flaschen?|dosen?|kanister|flacons?|bidons?|frascos?|botellas?|glass|amber|plastic|hdpe|pe|each|ea\.?"
)


@dataclass(frozen=True, slots=True)
class Size:
    """The amount in one container, how many are written with it, and a word on the container."""

    amount: Quantity
    count: int | None = None
    container: str = ""


def parse_size(text: str, *, unit: str = "", decimal: DecimalMark = "") -> Size:
    """The size of one container.

    Parameters
    ----------
    text : str
        As written.
    unit : str
        The unit, where it is written in a column of its own or in the header.
    decimal : {"", ".", ","}
        The decimal mark that the file is known to use.

    Raises
    ------
    QuantityError
        No amount, no unit, or more than one container can hold.

    Examples
    --------
    >>> size = parse_size("4×500ml")
    >>> size.count, round(size.amount.value, 6)
    (4, 0.0005)
    """
    shown = " ".join(text.split())
    rest, container = _container(shown)
    count = None
    if match := re.fullmatch(
        rf"(\d[\d\s]*)\s*(?:{_CONTAINER})?\s*(?:[x×*✕]|of|à|a)\s*(.+)", rest, re.IGNORECASE
    ):
        count, rest = parse_count(match[1]), match[2]
    elif match := re.fullmatch(r"(.+?[^\W\d_])\s*(?:[x×*✕]\s*(\d+)|\((\d+)\))", rest, re.IGNORECASE):
        count, rest = parse_count(match[2] or match[3]), match[1]
    amount = parse_quantity(rest, unit=unit, decimal=decimal)
    most = MOST_VOLUME if amount.kind == "volume" else MOST_MASS
    if amount.value > most * (1 + 1e-9):
        raise QuantityError(f"“{shown}” is more than one container holds. Write the size of one container")
    return Size(amount, count, container)


def _container(text: str) -> tuple[str, str]:
    """The size, and the words for a container that follow it."""
    match = re.fullmatch(rf"(.*\d.*?[^\W\d_].*?)[\s,(]+((?:(?:{_CONTAINER})[\s,)]*)+)", text, re.IGNORECASE)
    return (match[1], match[2].strip(" ,()")) if match else (text, "")


def parse_count(text: str, *, decimal: DecimalMark = "") -> int:
    """A whole number of containers, one or more.

    Raises
    ------
    QuantityError
        Not a number, not whole, zero or less, or more than ten thousand.

    Examples
    --------
    >>> parse_count("3 bottles")
    3
    """
    shown = text.strip()
    bare = re.sub(
        rf"\s*[x×]?\s*(?:{_CONTAINER}|pcs\.?|pieces?|units?|stk\.?|stück|pack)?\s*$", "", shown, flags=re.I
    )
    value = parse_number(bare or shown, decimal=decimal)
    if value != int(value):
        raise QuantityError(f"“{shown}” is not a whole number. Write how many containers there are, like 3")
    if value < 1:
        raise QuantityError(f"“{shown}” is less than one. Write how many there are, or delete the row")
    if value > MOST_COUNT:
        raise QuantityError(
            f"“{shown}” is more than {MOST_COUNT}. Write how many containers there are, like 3"
        )
    return int(value)
