"""Ionisation energies, typed by the project from NIOSH's Pocket Guide and NIST's WebBook."""

from __future__ import annotations

from functools import cache

from stillroom.sources import Missing, Origin, Sourced
from stillroom.substances.properties.tables import typed_rows

__all__ = ["ionisation_energy"]


@cache
def ionisation_energy(cas: str) -> Sourced | Missing:
    """Adiabatic first ionisation energy [eV].

    Parameters
    ----------
    cas : str
        CAS number.
    """
    entry = typed_rows("ionisation_energies").get(cas)
    if entry is None:
        return Missing("no ionisation energy in Stillroom's table")
    return Sourced(
        float(entry["ionisation_energy_eV"]), "eV", entry["source"], Origin(entry["origin"]), entry["locator"]
    )
