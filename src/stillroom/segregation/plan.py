"""The shelf plan. Pure data."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.segregation.model import Conflict

__all__ = ["Placed", "Plan"]


@dataclass(frozen=True, slots=True)
class Placed:
    """One container at its place. `x`, `y` are its centre from the shelf's front left corner [m]."""

    container: str
    """key"""
    copy: int
    """1 … count"""
    label: str
    """short text for the drawing: the number in the list"""
    compartment: str
    shelf: str
    tray: int
    """1 …; 0 where the shelf has no tray"""
    x: float
    y: float
    diameter: float
    """[m]"""
    height: float
    """[m]"""
    mass: float
    """[kg]"""
    kind: str
    """one word for the drawing: flammable, acid, base, oxidiser, toxic, other"""
    cabinet: int = 0
    """which of the cabinets, in the order given"""


@dataclass(frozen=True, slots=True)
class Plan:
    """Where everything stands, what did not fit and why, and which conflicts no arrangement solves."""

    placed: tuple[Placed, ...]
    not_placed: tuple[tuple[str, str], ...]
    """(container key, reason)"""
    unsolved: tuple[Conflict, ...]
    words: tuple[str, ...] = ()
    """rules kept, gap to the best plan, and the like"""
