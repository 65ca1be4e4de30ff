"""The lists at hand: shipped ones (a CSV of printed entries and a TOML sidecar each), the user's own; and the groups."""

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
from stillroom.substances.limits import own
from stillroom.substances.limits.model import COUNTED_AS, Entry, LimitList
from stillroom.substances.shipped import rows

__all__ = [
    "GroupMember",
    "digest",
    "entries",
    "groups_of",
    "known",
    "label",
    "listed",
    "lists",
    "mass_fraction",
    "shipped_keys",
]


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
        return min(1.0, self.count * COUNTED_AS[self.counted_as] / self.molar_mass_g_mol)


def _data() -> Traversable:
    return resources.files("stillroom.substances.limits") / "data"


def read_csv(name: str) -> tuple[Entry, ...]:
    """The rows of one data file."""
    return rows("stillroom.substances.limits", name.removesuffix(".csv"))


def lists() -> tuple[LimitList, ...]:
    """Every list at hand: the shipped ones, then the user's own as they are now."""
    shipped = _shipped()
    mine = own.stored()
    return shipped + tuple(item.list for item in mine) if mine else shipped


def shipped_keys() -> tuple[str, ...]:
    """Keys of the lists that are shipped, which no own list may have."""
    return tuple(item.key for item in _shipped())


@cache
def _shipped() -> tuple[LimitList, ...]:
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


def entries(key: str) -> Mapping[str, tuple[Entry, ...]]:
    """The printed entries of a list by CAS number or by name of group."""
    return own.entries(key) if known(key).own else _entries(key)


@cache
def _entries(key: str) -> Mapping[str, tuple[Entry, ...]]:
    by_name: dict[str, list[Entry]] = {}
    for row in read_csv(known(key).file):
        by_name.setdefault(row["cas"], []).append(row)
    return MappingProxyType({name: tuple(found) for name, found in by_name.items()})


def listed() -> tuple[str, ...]:
    """CAS numbers of all that the shipped lists with files of their own name, in order."""
    found = {
        name
        for item in _shipped()
        if item.file
        for name in _entries(item.key)
        if name.replace("-", "").isdigit()
    }
    return tuple(sorted(found, key=lambda cas: [int(part) for part in cas.split("-")]))


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
