"""Lower flammable limit and flash point."""

from __future__ import annotations

from functools import cache

from stillroom.sources import Missing, Origin, Sourced
from stillroom.substances.properties.constants import melting_point, unknown_substance
from stillroom.substances.properties.diffusivity import atoms_of
from stillroom.substances.properties.involatile import involatile, salt_kind, typed_involatile
from stillroom.substances.properties.tables import first_of, identity, typed_rows, value_of

__all__ = ["flash_point", "jones_lower_limit", "lower_flammable_limit"]

_BOOKS = ("IEC 60079-20-1 (2010)", "NFPA 497 (2008)")
NEVER = 1.0
"""Stands for "does not burn": a mole fraction in air that is never reached [mol/mol]."""


def jones_lower_limit(
    *, carbon: float, hydrogen: float, oxygen: float = 0.0, halogen: float = 0.0, sulphur: float = 0.0
) -> float | None:
    """Lower flammable limit at 25 °C [mol/mol] as 0.55 of the stoichiometric mixture with air.

    Parameters
    ----------
    carbon, hydrogen, oxygen, halogen, sulphur : float
        Atoms in the molecule [-].

    Notes
    -----
    C_st = 1/(1 + 4.76 z), z = C + S + (H − X)/4 − O/2 moles of oxygen: [Jones 1938].
    Validity: within 30 % for C, H and O.

    Examples
    --------
    Toluene: 1.1–1.2 % published.

    >>> round(100 * jones_lower_limit(carbon=7, hydrogen=8), 2)
    1.25
    """
    oxygen_needed = carbon + sulphur + (hydrogen - halogen) / 4 - oxygen / 2
    return 0.55 / (1 + 4.76 * oxygen_needed) if oxygen_needed > 0.5 else None


@cache
def lower_flammable_limit(cas: str) -> Sourced | Missing:
    """Lower flammable limit [mol/mol]; 1 with the note "does not burn" where that is published.

    Parameters
    ----------
    cas : str
        CAS number.

    Notes
    -----
    Published limits; else [Jones 1938] for organic vapours with hydrogen, which errs to either side by 30 %.
    """
    from chemicals.safety import LFL

    known = identity(cas)
    if known is None:
        return unknown_substance(cas) if typed_involatile(cas) is None else _no_vapour()
    entry = typed_rows("flammability").get(cas)
    if entry is not None:
        value = float(entry["lfl_percent"]) / 100
        note = "does not burn" if value >= 1 else ""
        return Sourced(value, "mol/mol", entry["source"], Origin(entry["origin"]), entry["locator"], note)
    found = first_of(LFL, cas, _BOOKS, "mol/mol")
    if found is not None:
        return found
    if salt_kind(known.smiles) or involatile(cas, melting_point(cas)) is not None:
        return _no_vapour()
    if typed_involatile(cas) is not None:
        return _no_vapour()
    return _from_stoichiometry(known.formula)


def _no_vapour() -> Sourced:
    return Sourced(
        NEVER, "mol/mol", "common-practice", Origin.COMPUTED, "", "does not burn as a vapour: it has none"
    )


def _from_stoichiometry(formula: str) -> Sourced | Missing:
    atoms = atoms_of(formula)
    if not {"C", "H"} <= set(atoms) or not set(atoms) <= {"C", "H", "O", "N", "S", "Cl", "Br", "F", "I"}:
        return Missing("no lower flammable limit published in the tables, and no estimate for its elements")
    halogen = sum(atoms.get(symbol, 0) for symbol in ("F", "Cl", "Br", "I"))
    value = jones_lower_limit(
        carbon=atoms["C"],
        hydrogen=atoms["H"],
        oxygen=atoms.get("O", 0),
        halogen=halogen,
        sulphur=atoms.get("S", 0),
    )
    if value is None:
        return Missing("no lower flammable limit published in the tables, and none by stoichiometry")
    return Sourced(
        value, "mol/mol", "jones-1938", Origin.ESTIMATED, "0.55 of the stoichiometric mixture", "within 30 %"
    )


@cache
def flash_point(cas: str) -> Sourced | Missing:
    """Flash point, closed cup [K].

    Parameters
    ----------
    cas : str
        CAS number.
    """
    from chemicals.safety import T_flash

    if identity(cas) is None:
        return unknown_substance(cas)
    found = first_of(T_flash, cas, (*_BOOKS, "Serat DIPPR (2017)"), "K")
    if found is not None:
        return found
    value = T_flash(CASRN=cas, method="WIKIDATA")
    if value is not None and value == value:
        return value_of(value, "K", "WIKIDATA")
    return Missing("no flash point in the tables")
