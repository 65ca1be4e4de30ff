"""Reading the shipped lists (a CSV of printed entries and a TOML sidecar each) and the groups."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable
from types import MappingProxyType

from stillroom.errors import InputError, Problem
from stillroom.substances.kin import WATER_MOLAR_MASS, kin_of
from stillroom.substances.shipped import rows

__all__ = ["GroupMember", "LimitList", "digest", "entries", "groups_of", "known", "lists", "mass_fraction"]

Entry = Mapping[str, str]

# Masses of what limits are counted as [g/mol]: abridged standard atomic weights (IUPAC 2021), sums for ions.
_COUNTED_AS = {
    "Ag": 107.868, "Al": 26.982, "As": 74.922, "Ba": 137.327, "Be": 9.0122, "CN": 26.018, "Cd": 112.414,
    "Co": 58.933, "Cr": 51.996, "Cr(VI)": 51.996, "Cu": 63.546, "F": 18.998, "Fe": 55.845,
    "Hg": 200.592, "In": 114.818, "Mg": 24.305, "Mn": 54.938, "Mo": 95.95,
    "NCO": 42.017, "Ni": 58.693, "Os": 190.23, "Pb": 207.2, "Pt": 195.084, "Rh": 102.906,
    "Sb": 121.760, "Se": 78.971, "Sn": 118.710, "Ta": 180.948, "Te": 127.60, "Tl": 204.38,
    "U": 238.029, "V": 50.942, "V2O5": 181.879, "W": 183.84, "Y": 88.906, "Zr": 91.224,
}  # fmt: skip


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
    """key of the bibliography"""
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


def label(row: Entry) -> str:
    """What tells an entry from the others of its list: CAS number or group, unit and fraction."""
    return " ".join(part for part in (row["cas"], row["unit"], row["fraction"]) if part)


@dataclass(frozen=True, slots=True)
class GroupMember:
    """One substance that a group entry ("lead, inorganic, as Pb") covers."""

    group: str
    cas: str
    name: str
    counted_as: str
    count: float
    """atoms or ions of `counted_as` in one formula"""
    molar_mass_g_mol: float | None

    @property
    def mass_fraction(self) -> float | None:
        """Mass of `counted_as` in the mass of the substance [-], None where the entry counts the whole."""
        if not self.counted_as or not self.count or self.molar_mass_g_mol is None:
            return None
        return min(1.0, self.count * _COUNTED_AS[self.counted_as] / self.molar_mass_g_mol)


def _data() -> Traversable:
    return resources.files("stillroom.substances.limits") / "data"


def read_csv(name: str) -> tuple[Entry, ...]:
    """The rows of one data file."""
    return rows("stillroom.substances.limits", name.removesuffix(".csv"))


@cache
def lists() -> tuple[LimitList, ...]:
    """Every list that is shipped, in the order of its `order` in the sidecar."""
    found: list[tuple[int, LimitList]] = []
    for file in _data().iterdir():
        if file.name.endswith(".toml"):
            fields = tomllib.loads(file.read_text("utf-8"))
            fields["from_memory"] = tuple(fields.get("from_memory", ()))
            if not fields["file"]:
                fields["edition"] += f" {_installed(fields.pop('package'))}"
            found.append((fields.pop("order"), LimitList(**fields)))
    return tuple(item for _, item in sorted(found, key=lambda pair: pair[0]))


def _installed(package: str) -> str:
    """Version of an installed package, by the name of its metadata folder: importlib.metadata is slow to load."""
    from importlib.util import find_spec
    from pathlib import Path

    spec = find_spec(package)
    if spec is not None and spec.origin is not None:
        for folder in Path(spec.origin).parent.parent.glob(f"{package}-*.dist-info"):
            return folder.name.removeprefix(f"{package}-").removesuffix(".dist-info")
    from importlib.metadata import version

    return version(package)


def known(key: str) -> LimitList:
    """The list of that key.

    Raises
    ------
    InputError
        No list has this key; the message names those that exist.
    """
    for item in lists():
        if item.key == key:
            return item
    names = ", ".join(item.key for item in lists())
    raise InputError(Problem("no such list of exposure limits", f"Use one of: {names}", found=str(key)))


@cache
def entries(key: str) -> Mapping[str, tuple[Entry, ...]]:
    """The printed entries of a list by CAS number or by name of group."""
    by_name: dict[str, list[Entry]] = {}
    for row in read_csv(known(key).file):
        by_name.setdefault(row["cas"], []).append(row)
    return MappingProxyType({name: tuple(found) for name, found in by_name.items()})


@cache
def _members() -> Mapping[str, tuple[GroupMember, ...]]:
    by_cas: dict[str, list[GroupMember]] = {}
    for row in read_csv("groups.csv"):
        member = GroupMember(
            group=row["group"],
            cas=row["cas"],
            name=row["name"],
            counted_as=row["counted_as"],
            count=float(row["count"] or 0),
            molar_mass_g_mol=float(row["molar_mass"]) if row["molar_mass"] else None,
        )
        by_cas.setdefault(member.cas, []).append(member)
    return MappingProxyType({cas: tuple(found) for cas, found in by_cas.items()})


def groups_of(cas: str) -> tuple[GroupMember, ...]:
    """The groups of compounds that a substance belongs to, empty where none; a hydrate to those of its parent.

    A hydrate's molar mass [g/mol] is its parent's and that of its water.
    """
    own = _members().get(cas, ())
    kin = kin_of(cas)
    if own or kin is None or kin.lists:
        return own
    water = kin.waters * WATER_MOLAR_MASS
    return tuple(
        replace(
            member,
            cas=cas,
            name=kin.name,
            molar_mass_g_mol=None if member.molar_mass_g_mol is None else member.molar_mass_g_mol + water,
        )
        for member in _members().get(kin.parent, ())
    )


def mass_fraction(cas: str, counted_as: str) -> float | None:
    """Mass of the element or ion in the mass of the substance [-], None where it is not known."""
    for member in groups_of(cas):
        if member.counted_as.removesuffix("(VI)") == counted_as.removesuffix("(VI)"):
            return member.mass_fraction
    return None


@cache
def digest(file: str) -> str:
    """First twelve digits of the SHA-256 of one data file."""
    return hashlib.sha256((_data() / file).read_bytes()).hexdigest()[:12]
