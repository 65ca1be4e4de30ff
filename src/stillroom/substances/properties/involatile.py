"""Substances without a vapour worth speaking of at room temperature: known to be involatile, not unknown."""

from __future__ import annotations

import re
from functools import cache

from stillroom.sources import Missing, Origin, Sourced
from stillroom.substances.properties.tables import identity, matches, typed_rows

__all__ = ["BOUND", "involatile", "is_involatile", "salt_kind", "typed_involatile"]

BOUND = 1e-9
"""Upper bound that stands for "no vapour" [Pa]: 10⁻⁸ ppm, below 1 % of any exposure limit."""
_STRONG_BOUND, _WEAK_BOUND = 1e-2, 10.0
_MELTS_HIGH = 673.15
_SALT_FORMERS = ("Li", "Na", "K", "Rb", "Cs", "Mg", "Ca", "Sr", "Ba")
_OTHER_METALS = (
    "Al",
    "Ag",
    "Au",
    "Bi",
    "Cd",
    "Ce",
    "Co",
    "Cr",
    "Cu",
    "Eu",
    "Fe",
    "Ga",
    "Gd",
    "Hg",
    "In",
    "La",
    "Mn",
    "Mo",
    "Nd",
    "Ni",
    "Pb",
    "Pd",
    "Pt",
    "Rh",
    "Ru",
    "Sc",
    "Sm",
    "Sn",
    "Th",
    "Ti",
    "Tl",
    "U",
    "V",
    "W",
    "Y",
    "Zn",
    "Zr",
)
_STRONG_ACID_ANIONS = ("[Cl-]", "[Br-]", "[I-]", "S(=O)(=O)", "Cl(=O)(=O)=O", "[N+](=O)([O-])[O-]")
_SALT_FORMULA = re.compile(r"(Na|K|Rb|Cs|Ca|Sr|Ba)(?![a-z]).*[A-Z]|[A-Z].*(Na|K|Rb|Cs|Ca|Sr|Ba)(?![a-z])")
_WEAK_ACID_ANIONS = ("C(=O)[O-]", "[O-]C(=O)", "C(=O)(C", "P(=O)")


def _charge(fragment: str) -> int:
    """Net charge written in one SMILES fragment [-]."""
    total = 0
    for sign, digits in re.findall(r"([+-])(\d*)\]", fragment):
        total += (1 if sign == "+" else -1) * int(digits or 1)
    for signs in re.findall(r"(\+\++|--+)\]", fragment):
        total += (1 if signs[0] == "+" else -1) * (len(signs) - 1)
    return total


@cache
def salt_kind(smiles: str) -> str:
    """Kind of salt that a SMILES shows: "metal", "other metal", "quaternary", "protonated", or ""."""
    fragments = smiles.split(".")
    cations = [fragment for fragment in fragments if _charge(fragment) > 0]
    anions = [fragment for fragment in fragments if _charge(fragment) < 0]
    if not cations or not anions:
        return ""
    symbols = {
        match[1] for fragment in cations if (match := re.fullmatch(r"\[([A-Z][a-z]?)\+*\d*\]", fragment))
    }
    bare = all(re.fullmatch(r"\[[A-Z][a-z]?\+*\d*\]", fragment) for fragment in cations)
    if bare and symbols <= set(_SALT_FORMERS):
        return "metal"
    if bare and symbols <= set(_SALT_FORMERS + _OTHER_METALS):
        return "other metal"
    if any(re.search(r"\[NH\d?\+|\[nH\+|\[NH4\+|\[OH\d?\+|\[H\+", fragment) for fragment in cations):
        return "protonated"
    return "quaternary" if any(re.search(r"\[[NnPSC]H?[\w@]*\+", fragment) for fragment in cations) else ""


def involatile(cas: str, melting_point: Sourced | Missing) -> Sourced | None:
    """An upper bound of the vapour pressure [Pa] where the substance is known to have none, else None.

    Parameters
    ----------
    cas : str
        CAS number.
    melting_point : Sourced or Missing
        Melting point [K].

    Notes
    -----
    Salts of the alkali and alkaline earth metals; salts of other metals that melt above 250 °C or hold an
    oxo-anion; inorganic solids that melt above 400 °C; salts of quaternary nitrogen. Lattice energies of
    several hundred kJ/mol leave them no vapour at room temperature. Covalent halides (mercuric, aluminium,
    ferric, tin chloride), carbonyls and ammonium salts are not among them. Ammonium and amine salts of
    strong acids fall apart into base and acid at a pressure of 10⁻³ Pa or so (ammonium chloride 2·10⁻³
    Pa from its Gibbs energies): bound 10⁻² Pa. Those of carboxylic and phosphoric acids: ammonium
    acetate about
    1 Pa in the same way, bound 10 Pa. Carbonates, sulphides and hydroxides of ammonium are left unknown.
    """
    known = identity(cas)
    if known is None:
        return None
    kind = salt_kind(known.smiles)
    melts = melting_point.value if isinstance(melting_point, Sourced) else None
    oxo = "[O-]" in known.smiles or "[S-]" in known.smiles
    if kind == "metal" or (not known.smiles and _SALT_FORMULA.search(known.formula)):
        return _bound("a salt; gases that it sets free with acid or moisture are another question")
    if kind == "other metal" and matches(known.smiles, "[$([CX4][O-]),$(C=C[O-])]"):
        return None  # alkoxides and acetylacetonates of the heavier metals distil
    if kind == "other metal" and (oxo or (melts is not None and melts >= 523.15)):
        return _bound("a metal salt")
    if kind == "quaternary":
        return _bound("an organic salt")
    if kind == "protonated" and any(anion in known.smiles for anion in _STRONG_ACID_ANIONS):
        return _labile(_STRONG_BOUND, "strong")
    if kind == "protonated" and any(anion in known.smiles for anion in _WEAK_ACID_ANIONS):
        return _labile(_WEAK_BOUND, "carboxylic or phosphoric")
    if re.search(r"(^|\.)Cl(\.|$)", known.smiles) and "N" in known.formula and "." in known.smiles:
        return _labile(_STRONG_BOUND, "strong")  # a hydrochloride, written as base and acid side by side
    if known.name.lower().endswith(("hydrochloride", "hydrobromide")):
        return _labile(_STRONG_BOUND, "strong")
    if melts is not None and melts >= _MELTS_HIGH and not _organic(known.formula):
        return _bound(f"inorganic, melts at {melts - 273.15:.0f} °C, above 400 °C")
    return None


def typed_involatile(cas: str) -> Sourced | None:
    """An upper bound of the vapour pressure [Pa] of a material in Stillroom's own table, None where it is not there.

    Parameters
    ----------
    cas : str
        CAS number.
    """
    entry = typed_rows("involatile").get(cas)
    return None if entry is None else _bound(entry["why"], float(entry["bound_Pa"]))


def is_involatile(pressure: Sourced | Missing) -> bool:
    """Whether a saturation pressure is the bound that stands for "no vapour"."""
    return isinstance(pressure, Sourced) and pressure.note.startswith("involatile")


def _organic(formula: str) -> bool:
    return bool(re.search(r"C(?![a-z])", formula)) and bool(re.search(r"H(?![a-z])", formula))


def _bound(words: str, bound: float = BOUND) -> Sourced:
    return Sourced(
        bound,
        "Pa",
        "common-practice",
        Origin.ESTIMATED,
        "upper bound",
        f"involatile at room temperature (upper bound): {words}",
    )


def _labile(bound: float, acid: str) -> Sourced:
    return Sourced(
        bound,
        "Pa",
        "wagman-1982",
        Origin.ESTIMATED,
        "upper bound from ammonium chloride",
        f"upper bound: an ammonium or amine salt of a {acid} acid, which parts into base and acid",
    )
