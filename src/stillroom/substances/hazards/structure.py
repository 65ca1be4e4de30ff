"""Structures: which reactive groups and refused patterns a SMILES shows. rdkit is loaded on use."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

from stillroom.substances.hazards.tables import by_cas, rows, sidecar

__all__ = [
    "azide_ratio",
    "boiling_point",
    "groups_by_structure",
    "is_halide_salt",
    "matches",
    "reactive_groups",
    "smiles_of",
]

_HALIDES = frozenset({"Cl", "Br", "I"})
"""components of a SMILES; HF with pyridine stays an acid gas"""


@cache
def smiles_of(cas: str) -> str:
    """The structure of `cas` as SMILES, or an empty text where none is known."""
    row = by_cas("structures").get(cas)
    if row:
        return row["smiles"]
    if cas in by_cas("known"):
        return ""
    from chemicals.identifiers import search_chemical

    try:
        return str(search_chemical(cas).smiles or "")
    except ValueError:
        return ""


@cache
def boiling_point(cas: str) -> float | None:
    """Normal boiling point [K], or None where the property library has none."""
    from chemicals import Tb

    try:
        value = Tb(cas)
    except (ValueError, KeyError):
        return None
    return float(value) if value else None


@cache
def _pattern(smarts: str) -> Any:
    from rdkit import Chem

    pattern = Chem.MolFromSmarts(smarts)
    if pattern is None:
        raise ValueError(f"not a SMARTS: {smarts}")
    return pattern


@cache
def molecule(smiles: str) -> Any:
    """The molecule without water of crystallisation and without the HX of an amine's salt, or None."""
    from rdkit import Chem, RDLogger

    RDLogger.DisableLog("rdApp.*")  # type: ignore[attr-defined]
    whole = Chem.MolFromSmiles(smiles) if smiles else None
    if whole is None:
        return None
    parts = smiles.split(".")
    if len(parts) < 2:
        return whole
    rest = [part for part in parts if part not in {"O", "[OH2]"}] or parts[:1]
    if is_halide_salt(smiles):
        rest = [part for part in rest if part not in _HALIDES]
    return Chem.MolFromSmiles(".".join(rest))


def is_halide_salt(smiles: str) -> bool:
    """Whether it is a base with a hydrogen halide, like an amine hydrochloride: neither acid gas nor base."""
    parts = [part for part in smiles.split(".") if part]
    rest = [part for part in parts if part not in _HALIDES]
    return len(rest) < len(parts) and any("N" in part or "n" in part for part in rest)


def matches(smiles: str, smarts: str, *, count: int = 1) -> bool:
    """Whether the structure holds `smarts` at least `count` [-] times."""
    structure = molecule(smiles)
    if structure is None:
        return False
    if count == 1:
        return bool(structure.HasSubstructMatch(_pattern(smarts)))
    return len(structure.GetSubstructMatches(_pattern(smarts))) >= count


def any_of(smiles: str, patterns: Sequence[str]) -> bool:
    """Whether the structure holds one of the patterns."""
    return any(matches(smiles, pattern) for pattern in patterns)


@cache
def groups_by_structure(smiles: str) -> tuple[int, ...]:
    """Groups of EPA-600/2-80-076 that a SMILES shows, in ascending order."""
    found = []
    for row in rows("reactive_groups"):
        if any_of(smiles, row["smarts_any"].split(" || ")) and not any_of(
            smiles, [smarts for smarts in row["smarts_none"].split(" || ") if smarts]
        ):
            found.append(int(row["group"]))
    return tuple(found)


@cache
def reactive_groups(cas: str) -> tuple[int, ...]:
    """Groups of EPA-600/2-80-076 of a substance: by structure, and by list where structures do not tell.

    Notes
    -----
    Elemental metals are of group 22 (powder) and 23 (piece) alike: the form stands on the label only.
    """
    listed = sidecar("reactive_groups")["add"].get(cas, [])
    return tuple(sorted({*groups_by_structure(smiles_of(cas)), *listed}))


def azide_ratio(smiles: str) -> float | None:
    """(C + O atoms)/(N atoms) of an organic azide [-], or None; below 3 it is not kept [braese-2005]."""
    if not matches(smiles, "[#6,Si,S,P][N]=[N+]=[N-]"):
        return None
    symbols = [atom.GetSymbol() for atom in molecule(smiles).GetAtoms()]
    return (symbols.count("C") + symbols.count("O")) / symbols.count("N")
