"""Amounts as people write them: parsing and printing."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Literal

__all__ = ["Quantity", "QuantityError", "parse_number", "parse_quantity", "show"]

Kind = Literal["volume", "mass"]

# unit as written (lower case, no dots) -> (kind, SI value). NIST SP 811 (2008), Appendix B.8.
_UNITS: dict[str, tuple[Kind, float]] = {
    "l": ("volume", 1e-3),
    "ml": ("volume", 1e-6),
    "cl": ("volume", 1e-5),
    "dl": ("volume", 1e-4),
    "µl": ("volume", 1e-9),
    "m3": ("volume", 1.0),
    "cm3": ("volume", 1e-6),
    "kg": ("mass", 1.0),
    "g": ("mass", 1e-3),
    "mg": ("mass", 1e-6),
    "µg": ("mass", 1e-9),
    "gal": ("volume", 3.785411784e-3),
    "lb": ("mass", 0.45359237),
    "oz": ("mass", 0.028349523125),
}


class QuantityError(ValueError):
    """The text is not an amount; the message says what to write instead."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """An amount in SI: `value` in m³ (volume) or kg (mass), as written in `text`."""

    value: float
    kind: Kind
    text: str = ""


def parse_number(text: str) -> float:
    """A finite number from text with a decimal point or a decimal comma (dimensionless).

    Raises
    ------
    QuantityError
        The text is no number, not finite, or ambiguous ("1,234").
    """
    cleaned = re.sub(r"[\s\u00a0\u202f]", "", text).replace("−", "-")
    if re.fullmatch(r"-?\d{1,3},\d{3}", cleaned):
        raise QuantityError(f"“{text}” may be a thousand or a decimal. Write 1234 or 1.234")
    try:
        value = float(cleaned.replace(",", "."))
    except ValueError:
        raise QuantityError(f"“{text}” is not a number. Write a number, like 2.5") from None
    if not math.isfinite(value):
        raise QuantityError(f"“{text}” is not finite. Write a number, like 2.5")
    return value


def parse_quantity(text: str) -> Quantity:
    """An amount with its unit, like "2.5 L" [m³] or "500 g" [kg].

    Raises
    ------
    QuantityError
        No number, no unit, or a unit that is not known.
    """
    match = re.fullmatch(r"\s*([\d.,\s]+?)\s*([a-zA-Zµμ³]+\d?)\.?\s*", text)
    if not match:
        raise QuantityError(f"“{text}” is not an amount with a unit. Write it like 2.5 L or 500 g")
    unit = match[2].lower().replace("μ", "µ").replace("³", "3")
    if unit not in _UNITS:
        raise QuantityError(f"the unit “{match[2]}” is not known. Use L, mL, kg, g or mg")
    kind, factor = _UNITS[unit]
    return Quantity(parse_number(match[1]) * factor, kind, text.strip())


def show(value: float, digits: int = 2) -> str:
    """A number for people: `digits` significant digits, no exponent between 1e-3 and 1e6 (any unit)."""
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else str(value)
    magnitude = math.floor(math.log10(abs(value)))
    if not -4 < magnitude < 6:
        mantissa, exponent = f"{value:.{digits - 1}e}".split("e")
        return f"{mantissa}×10^{int(exponent)}"
    return f"{round(value, digits - 1 - magnitude):.{max(0, digits - 1 - magnitude)}f}"
