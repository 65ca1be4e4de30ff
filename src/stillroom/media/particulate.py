"""Particulate filters by their class."""

from __future__ import annotations

import re

from stillroom.errors import InputError, Problem
from stillroom.media.model import Interval, ParticulateFilter

__all__ = ["classes", "penetration"]

# Least overall efficiency at the most penetrating particle size [%].
# EN 1822-1:2009, Table 1 [en-1822]; E10 has no counterpart in ISO 29463.
_EN_1822 = {
    "E10": 85.0,
    "E11": 95.0,
    "E12": 99.5,
    "H13": 99.95,
    "H14": 99.995,
    "U15": 99.9995,
    "U16": 99.99995,
    "U17": 99.999995,
}
# ISO 29463-1:2017, Table 1 [iso-29463]: group number = nines and the half step.
_ISO_29463 = {
    "ISO15E": 95.0,
    "ISO20E": 99.0,
    "ISO25E": 99.5,
    "ISO30E": 99.90,
    "ISO35H": 99.95,
    "ISO40H": 99.99,
    "ISO45H": 99.995,
    "ISO50U": 99.999,
    "ISO55U": 99.9995,
    "ISO60U": 99.9999,
    "ISO65U": 99.99995,
    "ISO70U": 99.99999,
    "ISO75U": 99.999995,
}


def classes() -> dict[str, float]:
    """Least overall efficiency at the most penetrating particle size of every known class [%]."""
    return {**_EN_1822, **_ISO_29463}


def _canonical(written: str) -> str:
    name = re.sub(r"[\s\-_]", "", written.upper())
    if re.fullmatch(r"\d{2}[EHU]", name):
        name = f"ISO{name}"
    return name


def penetration(filter: ParticulateFilter) -> Interval:
    """Fraction of particles let through at the most penetrating size (dimensionless).

    Parameters
    ----------
    filter : ParticulateFilter
        Class as written: "H13", "ISO 35 H", "35H".

    Notes
    -----
    p95 is the class's largest overall penetration, [en-1822], [iso-29463]. A filter that has passed its test
    lies below it: the median is taken as half and p05 as a tenth of it (common practice).

    Validity: a filter tested as installed-new; a damaged or badly seated one is the by-pass's matter.

    Raises
    ------
    InputError
        The class is not known.
    """
    table = classes()
    name = _canonical(filter.filter_class)
    if name not in table:
        known = ", ".join(_EN_1822) + ", " + ", ".join(_ISO_29463)
        raise InputError(
            Problem(
                "the particulate filter's class is not known",
                f"Use one of {known}.",
                column="filter_class",
                found=filter.filter_class,
            )
        )
    most = round((100.0 - table[name]) / 100.0, 12)
    source = "en-1822" if name in _EN_1822 else "iso-29463"
    return Interval(
        0.1 * most, 0.5 * most, most, source, "largest by the class; median and p05 common practice"
    )
