"""What is known of a substance: identity, properties, limits, hazards.

The functions import their rooms when they are first called, so that ``import stillroom.substances`` stays light.
"""

from __future__ import annotations

from stillroom.substances.model import (
    Admission,
    Hazards,
    Limit,
    LimitChoice,
    Ordering,
    Properties,
    Resolution,
    Substance,
)

# At once and not in a function: a submodule that is imported first would take the place of the function of its name.
from stillroom.substances.properties import properties

__all__ = [
    "Admission",
    "Hazards",
    "Limit",
    "LimitChoice",
    "Ordering",
    "Properties",
    "Resolution",
    "Substance",
    "check_digit",
    "hazards",
    "properties",
    "resolve",
]


def resolve(*, cas: str = "", name: str = "") -> Resolution:
    """Which substance a CAS number or a name means; see `identity.resolve`."""
    from stillroom.substances import identity

    return identity.resolve(cas=cas, name=name)


def check_digit(cas: str) -> bool:
    """Whether a CAS number's last digit agrees with the others; see `identity.check_digit`."""
    from stillroom.substances import identity

    return identity.check_digit(cas)


def hazards(cas: str, *, mass_fraction: float | None = 1.0, state: str = "") -> Hazards:
    """What the gate and the neighbours need to know, at `mass_fraction` [-]; see `hazards.hazards`."""
    from stillroom.substances.hazards import hazards as function

    globals()["hazards"] = function  # the submodule of the same name would take its place
    return function(cas, mass_fraction=mass_fraction, state=state)
