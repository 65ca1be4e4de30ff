"""The one door to the tables of the `chemicals` package: a row by CAS number, and the book behind it."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

from stillroom.sources import Origin, Sourced
from stillroom.substances.shipped import Row, by_cas

__all__ = ["Identity", "first_of", "identity", "matches", "molecule", "row", "typed_rows", "value_of"]


class Identity(NamedTuple):
    """What the tables need to know of a substance."""

    name: str
    formula: str
    molar_mass: float
    """[g/mol]"""
    smiles: str


# Under these numbers `chemicals` 1.5 has the boranes without their hydrogen, a surfactant for its head, or a
# mixture as one molecule: no identity at all.
_REFUSED = frozenset(
    {"17702-41-9", "19624-22-7", "8065-48-3", "8022-00-2", "8004-13-5", "59355-75-8", "9002-93-1"}
)
# Under these it has another substance, or a salt without its charges: Stillroom's own identity, no structure.
_OWN = frozenset({"75-20-7", "156-62-7"})


@cache
def identity(cas: str) -> Identity | None:
    """Name, formula, molar mass [g/mol] and SMILES under a CAS number, or None.

    The package's tables first (they hold a structure for nearly all), else Stillroom's own identities.
    """
    from chemicals.identifiers import search_chemical

    from stillroom.substances.identity import resolve

    if cas in _REFUSED:
        return None
    if cas not in _OWN:
        with contextlib.suppress(ValueError):
            found = search_chemical(cas)
            if found.CASs == cas:
                return Identity(found.common_name, found.formula, float(found.MW), found.smiles or "")
    own = resolve(cas=cas).substance
    if own is None or not own.formula or own.molar_mass_g_mol is None:
        return None
    return Identity(own.name, own.formula, own.molar_mass_g_mol, "" if cas in _OWN else own.smiles)


def row(table: Any, cas: str) -> dict[str, float]:
    """The numbers in a `chemicals` table under a CAS number, blanks left out; empty without a row."""
    key: str | int = cas if table.index.dtype.kind not in "iu" else int(cas.replace("-", ""))
    try:
        found = table.loc[key]
    except KeyError:
        return {}
    if found.ndim == 2:  # the same number twice: the first row
        found = found.iloc[0]
    numbers = {}
    for name, value in found.items():
        if isinstance(value, (int, float)) or hasattr(value, "dtype"):
            number = float(value)
            if math.isfinite(number):
                numbers[str(name)] = number
    return numbers


class Table(NamedTuple):
    """A table of one book: its source key, and the words that find it."""

    source: str
    locator: str
    origin: Origin


BOOKS: dict[str, Table] = {
    "HEOS": Table("huber-2022", "reference equations of state", Origin.MEASURED),
    "CRC_ORG": Table("crc-95", "Physical Constants of Organic Compounds", Origin.MEASURED),
    "CRC_INORG": Table("crc-95", "Physical Constants of Inorganic Compounds", Origin.MEASURED),
    "CRC": Table("crc-95", "Physical Constants of Organic Compounds", Origin.MEASURED),
    "COMMON_CHEMISTRY": Table("cas-common-chemistry", "", Origin.MEASURED),
    "WEBBOOK": Table("nist-webbook", "phase change data", Origin.MEASURED),
    "OPEN_NTBKM": Table("bradley-2014", "melting points", Origin.MEASURED),
    "YAWS": Table("yaws-2014", "measured and predicted, not told apart", Origin.ESTIMATED),
    "WIKIDATA": Table("wikidata", "", Origin.MEASURED),
    "IEC 60079-20-1 (2010)": Table("iec-60079-20-1", "Annex B", Origin.MEASURED),
    "NFPA 497 (2008)": Table("nfpa-497", "Table 4.4.2", Origin.MEASURED),
    "Serat DIPPR (2017)": Table("serat-2017", "DIPPR flash points", Origin.MEASURED),
    "IUPAC": Table("iupac-critical", "", Origin.MEASURED),
}


def value_of(value: float, unit: str, book: str, note: str = "") -> Sourced:
    """A number from one of the tables that `chemicals` carries, with its book.

    Parameters
    ----------
    value : float
        As the table has it [`unit`].
    unit : str
        What the table is in.
    book : str
        Key of `BOOKS`.
    note : str
        For those who read the value.
    """
    source, locator, origin = BOOKS[book]
    words = f"{locator}; through chemicals, {book}" if locator else f"through chemicals, {book}"
    return Sourced(float(value), unit, source, origin, words, note)


def first_of(function: Any, cas: str, books: tuple[str, ...], unit: str) -> Sourced | None:
    """The value of the first of `books` that has one; `function` is a `chemicals` look-up."""
    for book in books:
        value = function(CASRN=cas, method=book)
        if isinstance(value, tuple):
            value = value[0]
        if value is not None and math.isfinite(float(value)):
            return value_of(float(value), unit, book)
    return None


@cache
def molecule(smiles: str) -> Any:
    """The molecule of a SMILES (an rdkit Mol), or None."""
    from rdkit import Chem, rdBase

    with rdBase.BlockLogs():
        return Chem.MolFromSmiles(smiles) if smiles else None


@cache
def matches(smiles: str, smarts: str) -> int:
    """How often a group, given as SMARTS, stands in a structure [-]; 0 without a structure."""
    from rdkit import Chem

    found = molecule(smiles)
    return 0 if found is None else len(found.GetSubstructMatches(Chem.MolFromSmarts(smarts), maxMatches=1000))


def typed_rows(name: str) -> Mapping[str, Row]:
    """The rows of one of Stillroom's own small tables in ``substances/data``, by CAS number."""
    return by_cas("stillroom.substances", name)
