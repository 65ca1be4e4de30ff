"""Molar refraction: how strongly a molecule is polarised, which carbon's affinity follows."""

from __future__ import annotations

from functools import cache

from stillroom.sources import Missing, Origin, Sourced
from stillroom.substances.properties.constants import unknown_substance
from stillroom.substances.properties.density import liquid_density
from stillroom.substances.properties.involatile import salt_kind
from stillroom.substances.properties.tables import identity, molecule, typed_rows

__all__ = ["lorentz_lorenz", "molar_polarisability", "refractive_index"]

# Elements for which the atom contributions of Wildman & Crippen were fitted.
_CRIPPEN_ELEMENTS = frozenset({1, 6, 7, 8, 9, 15, 16, 17, 35, 53})
_AVOGADRO_FACTOR = 2.52250  # 4π N_A/3 · 10⁻²⁴ [cm³/mol per Å³]


def lorentz_lorenz(refractive_index: float, *, molar_mass_g_mol: float, density: float) -> float:
    """Molar refraction (n² − 1)/(n² + 2) · M/ρ [cm³/mol].

    Parameters
    ----------
    refractive_index : float
        Refractive index at the sodium D line [-].
    molar_mass_g_mol : float
        Molar mass [g/mol].
    density : float
        Density at the same temperature [kg/m³].

    Notes
    -----
    Lorentz–Lorenz. Validity: transparent liquids.

    Examples
    --------
    Benzene: 26.2 cm³/mol published (from n = 1.5011 and 0.8765 g/cm³ at 20 °C, CRC Handbook).

    >>> round(lorentz_lorenz(1.5011, molar_mass_g_mol=78.11, density=876.5), 1)
    26.3
    """
    square = refractive_index**2
    return (square - 1) / (square + 2) * molar_mass_g_mol / density * 1e3


@cache
def refractive_index(cas: str) -> tuple[Sourced, float] | Missing:
    """Refractive index of the liquid at the sodium D line [-], and its temperature [K]."""
    from chemicals.refractivity import RI

    index, temperature = RI(cas, method="CRC")
    if index is None:
        return Missing("no refractive index in the tables (chemicals 1.5, CRC Handbook)")
    at = float(temperature) if temperature is not None else 293.15
    locator = f"Physical Constants of Organic Compounds, {at - 273.15:.0f} °C; through chemicals"
    return Sourced(float(index), "-", "crc-95", Origin.MEASURED, locator), at


@cache
def molar_polarisability(cas: str) -> Sourced | Missing:
    """Electronic molar refraction [cm³/mol].

    Parameters
    ----------
    cas : str
        CAS number.

    Notes
    -----
    Refractive index and density by Lorentz–Lorenz; Stillroom's own typed values (gases and inorganic
    liquids); else the atom contributions of [Wildman 1999] (within 5 % for the elements that they were
    fitted to, organic only).
    """
    known = identity(cas)
    if known is None:
        return unknown_substance(cas)
    entry = typed_rows("polarisabilities").get(cas)
    if entry is not None:
        factor = _AVOGADRO_FACTOR if entry["unit"] == "A3" else 1.0
        note = f"{entry['value']} {'Å³' if entry['unit'] == 'A3' else 'cm³/mol'}"
        return Sourced(
            float(entry["value"]) * factor,
            "cm³/mol",
            entry["source"],
            Origin(entry["origin"]),
            entry["locator"],
            note,
        )
    if salt_kind(known.smiles):
        return Missing("a salt: no molecule of it in the air")
    measured = refractive_index(cas)
    if isinstance(measured, tuple):
        index, at = measured
        density = liquid_density(cas, temperature=at)
        if isinstance(density, Sourced) and density.source != "girolami-1994":
            value = lorentz_lorenz(index.value, molar_mass_g_mol=known.molar_mass, density=density.value)
            return Sourced(
                value,
                "cm³/mol",
                index.source,
                Origin.COMPUTED,
                index.locator,
                f"n = {index.value:.4f}, density {density.value:.0f} kg/m³ [{density.source}]",
            )
    return _crippen(known.smiles)


def _crippen(smiles: str) -> Sourced | Missing:
    from rdkit.Chem import rdMolDescriptors

    found = molecule(smiles)
    if found is None:
        return Missing("no refractive index, and no structure to estimate it from")
    elements = {atom.GetAtomicNum() for atom in found.GetAtoms()}
    if not elements <= _CRIPPEN_ELEMENTS or 6 not in elements:
        return Missing("no refractive index, and no estimate for its elements")
    return Sourced(
        float(rdMolDescriptors.CalcCrippenDescriptors(found)[1]),
        "cm³/mol",
        "wildman-1999",
        Origin.ESTIMATED,
        "atom contributions; through rdkit",
        "within 5 % for usual organic molecules",
    )
