"""An inventory: the containers that are to be stored. Pure data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stillroom.substances.model import Substance
from stillroom.units import Quantity

__all__ = ["Closure", "Component", "Container", "Inventory"]

State = Literal["liquid", "solid", "gas", "solution", "unknown"]
Closure = Literal[
    "screw cap with liner",
    "screw cap without liner",
    "ground-glass stopper",
    "snap cap",
    "septum cap",
    "vented cap",
    "metal can",
    "sealed ampoule",
    "open",
    "not stated",
]


@dataclass(frozen=True, slots=True)
class Component:
    """One substance in a container. `mass_fraction` is None where it is not known."""

    substance: Substance
    mass_fraction: float | None


@dataclass(frozen=True, slots=True)
class Container:
    """`count` equal containers of one row. `components` is empty where the contents are unknown.

    The first component is what the row names; a solvent (water unless said) follows.
    """

    key: str
    """stable within the inventory: "r12" for row 12"""
    row: int
    name: str
    """as written"""
    cas_written: str
    components: tuple[Component, ...]
    amount: Quantity
    """of one container"""
    count: int
    state: State
    concentration: str = ""
    """as written: "37 %", "1 M" """
    material: str = ""
    """glass, HDPE, metal, … as written; empty where not stated"""
    closure: Closure = "not stated"
    opened_per_week: float = 1.0
    opened_stated: bool = False
    note: str = ""
    unknown_reason: str = ""
    """why the contents could not be identified; empty where they were"""

    @property
    def known(self) -> bool:
        return bool(self.components) and not self.unknown_reason


@dataclass(frozen=True, slots=True)
class Inventory:
    """What was read, how it was read, and what deserves a second look."""

    containers: tuple[Container, ...]
    file: str
    sha256: str
    reading: dict[str, str]
    """column of ours -> header as found, and encoding, separator, decimal mark: shown back to the user"""
    warnings: tuple[str, ...] = ()
