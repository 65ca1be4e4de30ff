"""Which contents have no vapour to speak of: salts of metals and of ammonium, and a few acids."""

from __future__ import annotations

import re

from stillroom.sources import Missing, Origin, Sourced
from stillroom.substances.model import Substance

__all__ = ["involatile"]

_SALT = "a salt: no vapour at room temperature (common practice)"

# give off another substance, for which no sourced rate is held
_DECOMPOSING = {
    "506-87-6": "ammonium carbonate gives off ammonia",
    "10361-29-2": "ammonium carbonate gives off ammonia",
    "1066-33-7": "ammonium hydrogencarbonate gives off ammonia",
    "1111-78-0": "ammonium carbamate gives off ammonia",
    "12135-76-1": "ammonium sulfide gives off ammonia and hydrogen sulfide",
    "12124-99-1": "ammonium hydrogensulfide gives off ammonia and hydrogen sulfide",
    "12125-01-8": "ammonium fluoride gives off ammonia and hydrogen fluoride",
}
# salts that stay, but give off a gas when acid or damp reaches them
_GIVES_GAS = {
    "7681-52-9": "chlorine when acid reaches it",
    "7778-54-3": "chlorine when damp or acid reaches it",
    "7681-57-4": "sulfur dioxide when acid reaches it",
    "7631-90-5": "sulfur dioxide when acid reaches it",
    "7757-83-7": "sulfur dioxide when acid reaches it",
    "7775-14-6": "sulfur dioxide when damp",
    "1313-82-2": "hydrogen sulfide when acid or damp reaches it",
    "16721-80-5": "hydrogen sulfide when acid or damp reaches it",
    "143-33-9": "hydrogen cyanide when acid or damp reaches it",
    "151-50-8": "hydrogen cyanide when acid or damp reaches it",
    "26628-22-8": "hydrazoic acid when acid reaches it",
}
# phosphoric, boric, sulfamic, metaphosphoric and silicic acids
_ACIDS = {"7664-38-2", "10043-35-3", "5329-14-6", "37267-86-0", "7699-41-4", "7631-86-9"}
# hold a metal and yet have a vapour (or may have one)
_VOLATILE_METALS = {"Hg", "Os", "Ru", "Sn", "As", "Sb", "Se", "Ge", "Te", "Tl"}
_VOLATILE_COMPOUNDS = {
    "7550-45-0", "13463-39-3", "13463-40-6", "14977-61-8", "7727-18-6", "97-93-8", "75-24-1", "557-20-0",
    "544-97-8", "78-00-2", "75-74-1", "7446-70-0", "7783-82-6", "10026-11-6", "7637-07-2", "10294-34-5",
    "13939-06-5", "10210-68-1", "12079-65-1", "102-54-5", "546-68-9",
}  # fmt: skip
_METALS = set(
    [
        "Li",
        "Na",
        "K",
        "Rb",
        "Cs",
        "Be",
        "Mg",
        "Ca",
        "Sr",
        "Ba",
        "Al",
        "Ga",
        "In",
        "Sc",
        "Y",
        "La",
        "Ce",
        "Pr",
        "Nd",
        "Sm",
        "Eu",
        "Gd",
        "Tb",
        "Dy",
        "Ho",
        "Er",
        "Tm",
        "Yb",
        "Lu",
        "Ti",
        "Zr",
        "Hf",
        "V",
        "Nb",
        "Ta",
        "Cr",
        "Mo",
        "W",
        "Mn",
        "Re",
        "Fe",
        "Co",
        "Rh",
        "Ir",
        "Ni",
        "Pd",
        "Pt",
        "Cu",
        "Ag",
        "Au",
        "Zn",
        "Cd",
        "Pb",
        "Bi",
        "Th",
        "U",
    ]
)


def _elements(formula: str) -> set[str]:
    return set(re.findall(r"[A-Z][a-z]?", formula))


def _ionic(smiles: str) -> bool:
    parts = smiles.split(".")
    return (
        len(parts) > 1
        and any("+" in part for part in parts)
        and any("-]" in part or re.search(r"-\d\]", part) for part in parts)
    )


def involatile(substance: Substance) -> Sourced | Missing | None:
    """A pressure of zero [Pa] for a substance that has no vapour, Missing where it gives off another; else None.

    Parameters
    ----------
    substance : Substance
        With its formula and SMILES, where known.

    Notes
    -----
    A salt by its SMILES (separate ions), or a compound of a metal without carbon by its formula. Mercury, osmium, tin,
    arsenic and other elements with volatile compounds are left to their vapour pressures, and so are the listed
    volatile compounds of other metals. Common practice, no source.
    """
    if substance.cas in _DECOMPOSING:
        return Missing(f"{_DECOMPOSING[substance.cas]}, and no sourced rate for that is held")
    if substance.cas in _VOLATILE_COMPOUNDS:
        return None
    elements = _elements(substance.formula)
    if elements & _VOLATILE_METALS:
        return None
    organic = "C" in elements and not _ionic(substance.smiles) and not re.search(r"CO3|CN", substance.formula)
    salt = _ionic(substance.smiles) or (bool(elements & _METALS) and not organic)
    if not salt and substance.cas not in _ACIDS:
        return None
    note = _SALT if salt else "no vapour at room temperature (common practice)"
    if substance.cas in _GIVES_GAS:
        note += f"; gives off {_GIVES_GAS[substance.cas]}: not counted here"
    return Sourced(0.0, "Pa", "common-practice", Origin.COMMON_PRACTICE, "", note)
