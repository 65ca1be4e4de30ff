"""What a list of limits is, and one printed entry of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["COUNTED_AS", "Entry", "LimitList"]

# Masses of what limits are counted as [g/mol]: abridged standard atomic weights (IUPAC 2021), sums for ions.
COUNTED_AS = {
    "Ag": 107.868, "Al": 26.982, "As": 74.922, "Ba": 137.327, "Be": 9.0122, "CN": 26.018, "Cd": 112.414,
    "Co": 58.933, "Cr": 51.996, "Cr(VI)": 51.996, "Cu": 63.546, "F": 18.998, "Fe": 55.845,
    "Hg": 200.592, "In": 114.818, "Mg": 24.305, "Mn": 54.938, "Mo": 95.95,
    "NCO": 42.017, "Ni": 58.693, "Os": 190.23, "Pb": 207.2, "Pt": 195.084, "Rh": 102.906,
    "Sb": 121.760, "Se": 78.971, "Sn": 118.710, "Ta": 180.948, "Te": 127.60, "Tl": 204.38,
    "U": 238.029, "V": 50.942, "V2O5": 181.879, "W": 183.84, "Y": 88.906, "Zr": 91.224,
}  # fmt: skip

Entry = Mapping[str, str]
"""A row as printed: cas, name, unit, twa, stel, ceiling, minutes, measured_as, fraction, notations, note."""


@dataclass(frozen=True, slots=True)
class LimitList:
    """One list of exposure limits."""

    key: str
    title: str
    edition: str
    jurisdiction: str
    authority: str
    valid_from: str
    source: str
    """key of the bibliography; of a user's own list the words that its file gives"""
    rights: str
    note: str = ""
    locator: str = ""
    """what stands before the printed name of an entry, for instance "Table Z-1" """
    twa_minutes: float = 480.0
    """averaging time of its TWA [min]"""
    stel_minutes: float = 15.0
    """averaging time of its STEL where an entry does not print another [min]"""
    file: str = ""
    """name of its data file; empty where a package holds the values"""
    from_memory: tuple[str, ...] = ()
    """labels of the entries that were not compared with a copy of the list"""
    own: bool = False
    """loaded by the user, not shipped"""
