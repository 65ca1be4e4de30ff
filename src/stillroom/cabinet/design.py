"""A cabinet: what it is made of. Pure data; read from a file by `load_cabinet`."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.media.model import FilterStack

__all__ = ["Cabinet", "Compartment", "Shelf"]


@dataclass(frozen=True, slots=True)
class Shelf:
    """One shelf. `height` is that of its board above the floor; `tray_volume` is None where it has no tray."""

    key: str
    height: float
    """[m]"""
    width: float
    """[m]"""
    depth: float
    """[m]"""
    clear_height: float
    """[m]"""
    max_load: float
    """[kg]"""
    trays: int = 0
    """equal trays side by side; 0 where there are none"""
    tray_volume: float | None = None
    """retained volume of one tray [m³]"""

    @property
    def tray_area(self) -> float:
        """Area that a spill is bounded to [m²]: one tray, or the whole shelf."""
        return self.width * self.depth / max(self.trays, 1)


@dataclass(frozen=True, slots=True)
class Compartment:
    """Shelves that share air and fire; two compartments are kept apart by a wall."""

    key: str
    shelves: tuple[Shelf, ...]


@dataclass(frozen=True, slots=True)
class Cabinet:
    """A recirculating filtered storage cabinet."""

    name: str
    width: float
    """[m]"""
    depth: float
    """[m]"""
    height: float
    """[m]"""
    air_volume: float
    """free air inside [m³]"""
    flow: float
    """[m³/s]"""
    compartments: tuple[Compartment, ...]
    filters: FilterStack
    max_age_days: float = 365.0
    """the maker's or site's longest filter interval"""
    max_age_source: str = "common-practice"
    detector: str = ""
    """how saturation is noticed: the fixed detector, or empty where visits are the only way"""
    note: str = ""
