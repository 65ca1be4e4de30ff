"""Density of the liquid, subcooled where the substance is solid."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from functools import cache

from stillroom.sources import Missing, Origin, Sourced
from stillroom.substances.properties.constants import unknown_substance
from stillroom.substances.properties.involatile import salt_kind
from stillroom.substances.properties.tables import identity, matches, molecule, row, typed_rows

__all__ = ["girolami_density", "liquid_density"]

_DEEPEST = 250.0
"""A liquid is not thought of further than this below its range [K]."""
_FIRST_ROW = ("Li", "Be", "B", "C", "N", "O", "F")
_VOLUMES = {
    "H": 1.0,
    **dict.fromkeys(_FIRST_ROW, 2.0),
    **dict.fromkeys(("Na", "Mg", "Al", "Si", "P", "S", "Cl"), 4.0),
    **dict.fromkeys(("K", "Ca", "Ge", "As", "Se", "Br"), 5.0),
    **dict.fromkeys(("Rb", "Sn", "Sb", "Te", "I"), 7.5),
}


def girolami_density(
    formula: str, *, molar_mass_g_mol: float, polar_groups: int = 0, rings: int = 0
) -> float | None:
    """Density of a molecular liquid [kg/m³] from its formula, or None where an element has no volume.

    Parameters
    ----------
    formula : str
        Formula without charges or brackets.
    molar_mass_g_mol : float
        Molar mass [g/mol].
    polar_groups : int
        Hydroxyl, carboxyl, amine, amide, sulphoxide groups [-], 10 % each.
    rings : int
        Unfused rings [-], 10 % each.

    Notes
    -----
    ρ = M/(5 V) with relative atomic volumes V (H 1; Li–F 2; Na–Cl 4; K–Br 5; Rb–I 7.5), at most 30 % added
    [Girolami 1994]. Within 10 % for most; nitriles come out 16 % too dense.

    Examples
    --------
    Cyclohexanol: 0.962 g/cm³ measured (CRC Handbook).

    >>> round(girolami_density("C6H12O", molar_mass_g_mol=100.16, polar_groups=1, rings=1))
    925
    """
    volume = 0.0
    for symbol, count in re.findall(r"([A-Z][a-z]?)(\d*)", formula):
        if symbol not in _VOLUMES:
            return None
        volume += _VOLUMES[symbol] * int(count or 1)
    if volume == 0:
        return None
    return 1000.0 * molar_mass_g_mol / (5.0 * volume) * min(1.3, 1.0 + 0.1 * (polar_groups + rings))


def _curves(cas: str) -> list[tuple[str, str, float, float, Callable[[float], float]]]:
    """Published density curves: source, method, range [K], function of temperature [K] giving [kg/m³]."""
    from chemicals import volume as tables
    from chemicals.dippr import EQ105
    from chemicals.volume import volume_VDI_PPDS

    known = identity(cas)
    assert known is not None
    found: list[tuple[str, str, float, float, Callable[[float], float]]] = []
    n = row(tables.rho_data_Perry_8E_105_l, cas)
    if n:
        found.append(
            (
                "perry-2007",
                "Table 2-32",
                n["Tmin"],
                n["Tmax"],
                lambda t: (
                    EQ105(t, n["C1"], n["C2"], n["C3"], n["C4"]) * known.molar_mass * 1e-3
                ),  # [mol/m³]·[g/mol]
            )
        )
    v = row(tables.rho_data_VDI_PPDS_2, cas)
    if v:
        found.append(
            (
                "vdi-2010",
                "D3.1 Table 3",
                0.0,
                v["Tc"],
                lambda t: (
                    v["MW"]
                    * 1e-3
                    / volume_VDI_PPDS(t, v["Tc"], v["rhoc"], v["A"], v["B"], v["C"], v["D"], v["MW"])
                ),
            )
        )
    i = row(tables.rho_data_CRC_inorg_l, cas)
    if i:
        found.append(
            (
                "crc-95",
                "molten salts and elements",
                i["Tm"],
                i["Tmax"],
                lambda t: i["rho"] - i["k"] * (t - i["Tm"]),
            )
        )
    return found


@cache
def liquid_density(cas: str, *, temperature: float) -> Sourced | Missing:
    """Density of the liquid [kg/m³]; of the subcooled liquid where the substance is solid.

    Parameters
    ----------
    cas : str
        CAS number.
    temperature : float
        Temperature [K].

    Notes
    -----
    A published curve (continued below the melting point); a published value near room temperature; the atomic
    volumes of [Girolami 1994]. Salts have no liquid near room temperature.
    """
    known = identity(cas)
    if known is None:
        return unknown_substance(cas)
    entry = typed_rows("densities").get(cas)
    if entry is not None:
        return Sourced(
            float(entry["density_kg_m3"]),
            "kg/m³",
            entry["source"],
            Origin(entry["origin"]),
            entry["locator"],
            entry["note"],
        )
    for source, method, low, high, curve in _curves(cas):
        value = curve(temperature) if temperature < high else math.nan
        if math.isfinite(value) and value > 0 and low - temperature < _DEEPEST:
            note = (
                ""
                if temperature >= low
                else f"subcooled: continued {low - temperature:.0f} K below its range"
            )
            origin = Origin.MEASURED if temperature >= low - 5 else Origin.ESTIMATED
            return Sourced(value, "kg/m³", source, origin, f"{method}; through chemicals", note)
    return _single_value(cas) or _estimated(cas)


def _single_value(cas: str) -> Sourced | None:
    """A liquid's density near room temperature [kg/m³]."""
    from chemicals import miscdata
    from chemicals import volume as tables

    known = identity(cas)
    assert known is not None
    volume = row(tables.rho_data_CRC_inorg_l_const, cas).get("Vm")
    if volume:
        return Sourced(
            known.molar_mass * 1e-3 / volume,
            "kg/m³",
            "crc-95",
            Origin.MEASURED,
            "Physical Constants of Inorganic Compounds; through chemicals",
            "near room temperature",
        )
    numbers = row(miscdata.CRC_organic_data, cas)
    if "rho" in numbers and numbers.get("Tm", 1000.0) < 303.15:
        return Sourced(
            numbers["rho"],
            "kg/m³",
            "crc-95",
            Origin.MEASURED,
            "Physical Constants of Organic Compounds; through chemicals",
            "near room temperature",
        )
    volume = row(miscdata.common_chemistry_data, cas).get("Vml")
    if volume:
        return Sourced(
            known.molar_mass * 1e-3 / volume,
            "kg/m³",
            "cas-common-chemistry",
            Origin.MEASURED,
            "through chemicals",
            "near room temperature",
        )
    return None


def _estimated(cas: str) -> Sourced | Missing:
    known = identity(cas)
    assert known is not None
    if salt_kind(known.smiles) or "." in known.smiles:
        return Missing("a salt or a compound of several parts: no liquid near room temperature")
    polar, rings = _polar_and_rings(known.smiles)
    value = girolami_density(
        known.formula, molar_mass_g_mol=known.molar_mass, polar_groups=polar, rings=rings
    )
    if value is None:
        return Missing("no density of the liquid in the tables, and no estimate for its elements")
    return Sourced(value, "kg/m³", "girolami-1994", Origin.ESTIMATED, "atomic volumes", "within 10 %")


def _polar_and_rings(smiles: str) -> tuple[int, int]:
    polar = matches(smiles, "[$([OX2H]),$([NX3;H1,H2;!$(NC=O)]),$(C(=O)[NX3]),$([SX3]=O)]")
    found = molecule(smiles)
    return polar, 0 if found is None else int(found.GetRingInfo().NumRings())
