"""Amounts as people write them: parsing and printing."""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from typing import Literal

__all__ = ["DecimalMark", "Quantity", "QuantityError", "parse_number", "parse_quantity", "parse_unit", "show"]

Kind = Literal["volume", "mass"]
DecimalMark = Literal["", ".", ","]
"""The mark that a file is known to use; empty where that is not known."""

# SI value and the ways to write it (lower case, no dots, no spaces). NIST SP 811 (2008), Appendix B.8;
# gallon, quart, pint and fluid ounce are the US ones.
_UNITS: tuple[tuple[Kind, float, str], ...] = (
    ("volume", 1.0, "m3 cbm"),
    ("volume", 1e-1, "hl"),
    ("volume", 1e-3, "l lt ltr ltrs lit liter liters litre litres litro litros litri dm3"),
    ("volume", 1e-4, "dl"),
    ("volume", 1e-5, "cl"),
    (
        "volume",
        1e-6,
        "ml mls cc ccm cm3 milliliter milliliters millilitre millilitres mililitro mililitros millilitri millilitro",
    ),
    ("volume", 1e-9, "µl ul mcl microliter microlitre"),
    ("volume", 3.785411784e-3, "gal gals gallon gallons usgal"),
    ("volume", 4.54609e-3, "impgal ukgal imperialgallon"),
    ("volume", 9.46352946e-4, "qt quart quarts"),
    ("volume", 4.73176473e-4, "pt pint pints"),
    ("volume", 2.95735295625e-5, "floz flozs fluidounce fluidounces"),
    (
        "mass",
        1.0,
        "kg kgs kilo kilos kilogram kilograms kilogramm kilogramme kilogrammes kilogramo kilogramos chilogrammo chilogrammi",
    ),
    ("mass", 1e-3, "g gr grs gm gms gram grams gramm gramme grammes gramo gramos grammo grammi"),
    ("mass", 1e-6, "mg mgs milligram milligrams milligramm milligramme miligramo miligramos"),
    ("mass", 1e-9, "µg ug mcg microgram micrograms"),
    ("mass", 0.45359237, "lb lbs pound pounds"),
)
_BY_NAME: dict[str, tuple[Kind, float]] = {
    name: (kind, factor) for kind, factor, names in _UNITS for name in names.split()
}
_ASK = {
    "oz": "“oz” may be a weight or a volume. Write fl oz, or convert it to g",
    "ounce": "“ounce” may be a weight or a volume. Write fl oz, or convert it to g",
    "ounces": "“ounces” may be a weight or a volume. Write fl oz, or convert it to g",
    "mol": "“mol” is an amount of substance. Write the mass in g",
    "mmol": "“mmol” is an amount of substance. Write the mass in mg",
    "m": "“m” is no unit of an amount. Write mL, m3 or mg",
    "t": "“t” is more than one container holds. Write the mass of one container in kg",
}


class QuantityError(ValueError):
    """The text is not an amount; the message says what to write instead."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """An amount in SI: `value` in m³ (volume) or kg (mass), as written in `text`."""

    value: float
    kind: Kind
    text: str = ""


def parse_number(text: str, *, decimal: DecimalMark = "") -> float:
    """A finite number from text with a decimal point or a decimal comma (dimensionless).

    Parameters
    ----------
    text : str
        As written; spaces of every width and apostrophes part thousands, any dash is a minus.
    decimal : {"", ".", ","}
        The decimal mark that the file is known to use, which decides what "1,234" means.

    Raises
    ------
    QuantityError
        The text is no number, not finite, or ambiguous ("1,234" with no mark known).

    Notes
    -----
    A mark followed by exactly three digits and led by one to three digits other than zero may part thousands
    ("1,234"). A point there is read as decimal and a comma is asked about, unless `decimal` tells.

    Examples
    --------
    >>> parse_number("1.234,5"), parse_number("2,5"), parse_number("1 000")
    (1234.5, 2.5, 1000.0)
    >>> parse_number("1,234", decimal=".")
    1234.0
    """
    shown = text.strip()
    if not shown:
        raise QuantityError("nothing is written. Write a number, like 2.5")
    compact = re.sub(r"^[−‐‑‒–—]\s*", "-", unicodedata.normalize("NFKC", shown))
    compact = re.sub(r"(?<=\d)[\s'’](?=\d{3}(?!\d))", "", compact)
    if re.fullmatch(r"[-+]?[1-9]\d{0,2},\d{3}", compact) and not decimal:
        plain = compact.replace(",", "")
        raise QuantityError(
            f"“{shown}” may be a thousand or a decimal. Write {plain} or {compact.replace(',', '.')}"
        )
    try:
        value = float(_one_mark(compact, decimal))
    except ValueError:
        raise QuantityError(f"“{shown}” is not a number. Write a number, like 2.5") from None
    if not math.isfinite(value):
        raise QuantityError(f"“{shown}” is not a finite number. Write a number, like 2.5")
    return value


def _one_mark(compact: str, decimal: DecimalMark) -> str:
    """The number with thousands marks taken out and a point as its decimal mark."""
    if re.fullmatch(r"[-+]?[1-9]\d{0,2}(\.\d{3})+(,\d+)?", compact) and (
        "," in compact or compact.count(".") > 1 or decimal == ","
    ):
        return compact.replace(".", "").replace(",", ".")
    if re.fullmatch(r"[-+]?[1-9]\d{0,2}(,\d{3})+(\.\d+)?", compact) and (
        "." in compact or compact.count(",") > 1 or decimal == "."
    ):
        return compact.replace(",", "")
    if re.fullmatch(r"[-+]?(\d+([.,]\d*)?|[.,]\d+)([eE][-+]?\d{1,3})?", compact):
        return compact.replace(",", ".")
    if compact.lower().lstrip("+-") in ("nan", "inf", "infinity", "∞"):
        return "nan"
    raise ValueError(compact)


def parse_unit(text: str) -> tuple[Kind, float]:
    """The kind of a unit of volume or mass and its SI value [m³ or kg].

    Raises
    ------
    QuantityError
        The unit is not known, or may mean two things.

    Examples
    --------
    >>> parse_unit("mL")
    ('volume', 1e-06)
    """
    shown = text.strip()
    name = (
        re.sub(r"[\s.]", "", unicodedata.normalize("NFKC", shown).lower()).replace("μ", "µ").replace("³", "3")
    )
    name = name.replace("cm^3", "cm3").replace("m^3", "m3")
    if name in _BY_NAME:
        return _BY_NAME[name]
    raise QuantityError(_ASK.get(name, f"the unit “{shown}” is not known. Use L, mL, kg, g or mg"))


def parse_quantity(text: str, *, unit: str = "", decimal: DecimalMark = "") -> Quantity:
    """An amount with its unit, like "2.5 L" [m³] or "500 g" [kg]; more than nothing.

    Parameters
    ----------
    text : str
        The amount as written, with its unit unless `unit` is given.
    unit : str
        The unit, where it is written apart; if both are there they must agree.
    decimal : {"", ".", ","}
        The decimal mark that the file is known to use.

    Raises
    ------
    QuantityError
        No number, no unit, a unit that is not known, or an amount of zero or less.

    Examples
    --------
    >>> parse_quantity("2,5 L").value
    0.0025
    >>> parse_quantity("500", unit="g")
    Quantity(value=0.5, kind='mass', text='500 g')
    """
    shown = " ".join(text.split())
    match = re.fullmatch(
        r"([-+−–‐‑‒—]?[\d.,'’\s]*\d[.,]?(?:[eE][-+]?\d+)?|nan|inf(?:inity)?|∞)\s*(\D.*)?", shown, re.I
    )
    if not match:
        raise QuantityError(f"“{shown}” is not an amount. Write it like 2.5 L or 500 g")
    written = (match[2] or "").strip()
    value = parse_number(match[1], decimal=decimal)
    if not written and not unit.strip():
        raise QuantityError(f"“{shown}” has no unit. Write it like {shown} L or {shown} g")
    kind, factor = parse_unit(written or unit)
    if written and unit.strip() and parse_unit(unit) != (kind, factor):
        raise QuantityError(f"“{shown}” has one unit and the unit column another, “{unit.strip()}”. Keep one")
    if value <= 0:
        raise QuantityError(
            f"“{shown}” is not more than nothing. Write the size of one container, like 2.5 L"
        )
    return Quantity(value * factor, kind, shown if written else f"{shown} {unit.strip()}")


def show(value: float, digits: int = 2) -> str:
    """A number for people: `digits` significant digits, no exponent between 1e-3 and 1e6 (any unit).

    Parameters
    ----------
    value : float
        The number, any unit [-].
    digits : int
        Significant digits [-].

    Examples
    --------
    >>> show(0.0251), show(1234567.0)
    ('0.025', '1.2×10^6')
    """
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else str(value)
    mantissa, exponent = f"{value:.{digits - 1}e}".split("e")
    magnitude = int(exponent)
    if not -4 < magnitude < 6:
        return f"{mantissa}×10^{magnitude}"
    return f"{round(value, digits - 1 - magnitude):.{max(0, digits - 1 - magnitude)}f}"
