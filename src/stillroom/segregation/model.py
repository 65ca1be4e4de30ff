"""A conflict between the contents of two containers. Pure data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["AIR", "SEVERITIES", "Conflict", "Severity"]

Severity = Literal["separate tray", "separate compartment", "not in one cabinet", "alone"]

SEVERITIES: tuple[Severity, ...] = ("separate tray", "separate compartment", "not in one cabinet", "alone")
"""From mild to strict. A tray keeps liquids apart, a compartment's wall keeps fire and splashes apart, only
another cabinet keeps vapours apart: the compartments of one cabinet share their air and their filter.
"alone": not in one cabinet with the other, and best with nothing but its own kind."""

AIR: frozenset[Severity] = frozenset({"not in one cabinet", "alone"})
"""what no wall inside a cabinet mends"""


@dataclass(frozen=True, slots=True)
class Conflict:
    """Two containers that must not stand together as freely as others, why, and what mends it."""

    first: str
    """key of a container"""
    second: str
    """key of another container"""
    cas: tuple[str, str]
    """of the two substances that react, first's and second's"""
    names: tuple[str, str]
    hazard: str
    """heat, fire, explosion, toxic gas, flammable gas, polymerisation, particle fog; several joined by +"""
    consequence: str
    """words for the record"""
    source: str
    """key of the bibliography"""
    locator: str
    severity: Severity
    mend: str
    """what to do"""
