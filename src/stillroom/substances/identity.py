"""Names and CAS numbers to one identity. First form."""

from __future__ import annotations

import re

from stillroom.substances.model import Resolution, Substance

__all__ = ["check_digit", "resolve"]


def check_digit(cas: str) -> bool:
    """Whether `cas` has the shape of a CAS number and its check digit agrees."""
    match = re.fullmatch(r"(\d{2,7})-(\d\d)-(\d)", cas)
    if not match:
        return False
    digits = (match[1] + match[2])[::-1]
    return sum(place * int(digit) for place, digit in enumerate(digits, 1)) % 10 == int(match[3])


def resolve(*, cas: str = "", name: str = "") -> Resolution:
    """Which substance a CAS number or a name means."""
    from chemicals.identifiers import search_chemical

    if cas and not check_digit(cas):
        return Resolution(None, "the check digit does not agree", contradiction=True)
    try:
        found = search_chemical(cas or name)
    except ValueError:
        return Resolution(None, "not in the tables")
    return Resolution(
        Substance(found.CASs, found.common_name, found.formula, found.MW, found.smiles)
    )
