"""Diffusivity in air by the diffusion volumes of Fuller and co-workers, 1966 and 1969, never mixed."""

from __future__ import annotations

import math
import re
from functools import cache
from typing import Literal, NamedTuple

from stillroom.sources import Missing, Origin, Sourced
from stillroom.substances.properties.constants import unknown_substance
from stillroom.substances.properties.tables import identity, molecule, typed_rows
from stillroom.units import STANDARD_PRESSURE

__all__ = ["diffusion_volume", "diffusivity_in_air", "fuller", "fuller_diffusivity"]

Edition = Literal["1966", "1969"]
_AIR_MOLAR_MASS = 28.965  # [g/mol], dry air


class Volumes(NamedTuple):
    """One published set: coefficient, atoms, molecules [cm³/mol], the correction for a ring, and air."""

    coefficient: float
    atoms: dict[str, float]
    molecules: dict[str, float]
    ring: float
    air: float
    source: str


VOLUMES: dict[Edition, Volumes] = {
    # Fuller, Schettler & Giddings 1966, Eq. 5 and Table I. The volumes of N, Cl and S rest on few points.
    "1966": Volumes(
        1.00e-3,
        {"C": 16.5, "H": 1.98, "O": 5.48, "N": 5.69, "Cl": 19.5, "S": 17.0},
        {
            "H2": 7.07,
            "D2": 6.70,
            "He": 2.88,
            "N2": 17.9,
            "O2": 16.6,
            "Ar": 16.1,
            "Kr": 22.8,
            "CO": 18.9,
            "CO2": 26.9,
            "N2O": 35.9,
            "NH3": 14.9,
            "H2O": 12.7,
            "Cl2": 37.7,
            "Br2": 67.2,
            "SO2": 41.1,
            "SF6": 69.7,
            "CCl2F2": 114.8,
        },
        -20.2,
        20.1,
        "fuller-1966",
    ),
    # Fuller, Ensley & Giddings 1969, as printed in Poling et al. 2001, Table 11-1; 0.00143/√2.
    "1969": Volumes(
        0.00143 / math.sqrt(2),
        {"C": 15.9, "H": 2.31, "O": 6.11, "N": 4.54, "F": 14.7, "Cl": 21.0, "Br": 21.9, "I": 29.8, "S": 22.9},
        {
            "He": 2.67,
            "Ne": 5.98,
            "Ar": 16.2,
            "Kr": 24.5,
            "Xe": 32.7,
            "H2": 6.12,
            "D2": 6.84,
            "N2": 18.5,
            "O2": 16.3,
            "CO": 18.0,
            "CO2": 26.7,
            "N2O": 35.9,
            "NH3": 20.7,
            "H2O": 13.1,
            "SF6": 71.3,
            "Cl2": 38.4,
            "Br2": 69.0,
            "SO2": 41.8,
        },
        -18.3,
        19.7,
        "fuller-1969",
    ),
}


def fuller(
    temperature: float,
    *,
    pressure: float,
    molar_mass_g_mol: float,
    volume: float,
    coefficient: float,
    air_volume: float,
) -> float:
    """Diffusivity of a vapour in air [m²/s].

    Parameters
    ----------
    temperature : float
        Temperature [K].
    pressure : float
        Pressure [Pa].
    molar_mass_g_mol : float
        Molar mass of the vapour [g/mol].
    volume : float
        Its diffusion volume [cm³/mol].
    coefficient : float
        Of the same set as the volumes [-]: 1.00·10⁻³ (1966), 1.011·10⁻³ (1969).
    air_volume : float
        Diffusion volume of air in the same set [cm³/mol].

    Notes
    -----
    D [cm²/s] = c T^1.75 √(1/M + 1/M_air) / (p [Σv^(1/3) + Σv_air^(1/3)]²), p in atm: [Fuller 1966], Eq. 5.
    """
    masses = math.sqrt(1 / molar_mass_g_mol + 1 / _AIR_MOLAR_MASS)
    sizes = (volume ** (1 / 3) + air_volume ** (1 / 3)) ** 2
    atmospheres = pressure / STANDARD_PRESSURE
    return float(1e-4 * coefficient * temperature**1.75 * masses / (atmospheres * sizes))


def atoms_of(formula: str) -> dict[str, int]:
    """Atoms in a plain formula [-]."""
    counts: dict[str, int] = {}
    for symbol, count in re.findall(r"([A-Z][a-z]?)(\d*)", formula):
        counts[symbol] = counts.get(symbol, 0) + int(count or 1)
    return counts


def diffusion_volume(formula: str, *, rings: int = 0, edition: Edition = "1969") -> float | None:
    """Diffusion volume [cm³/mol] by one of the two sets; None where an element has none in it.

    Parameters
    ----------
    formula : str
        Plain formula.
    rings : int
        Aromatic and heterocyclic rings [-].
    edition : str
        "1966" or "1969".
    """
    chosen = VOLUMES[edition]
    counts = atoms_of(formula)
    for simple, volume in chosen.molecules.items():
        if atoms_of(simple) == counts:
            return volume
    if not counts or not set(counts) <= set(chosen.atoms):
        return None
    return sum(chosen.atoms[symbol] * count for symbol, count in counts.items()) + chosen.ring * rings


def fuller_diffusivity(
    *,
    formula: str,
    molar_mass_g_mol: float,
    rings: int = 0,
    temperature: float,
    pressure: float = STANDARD_PRESSURE,
    edition: Edition = "1969",
) -> float | None:
    """Diffusivity in air [m²/s] of a vapour of this formula; None where an element has no diffusion volume.

    Parameters
    ----------
    formula : str
        Plain formula.
    molar_mass_g_mol : float
        Molar mass [g/mol].
    rings : int
        Aromatic and heterocyclic rings [-].
    temperature : float
        Temperature [K].
    pressure : float
        Pressure [Pa].
    edition : str
        Which set of diffusion volumes, "1966" or "1969"; coefficient, vapour and air are all of the one set.

    Notes
    -----
    Validity: low pressure; the authors' average deviation is 4 %.

    Examples
    --------
    Benzene at 25 °C: 0.096 cm²/s measured (Lee & Wilke 1954).

    >>> found = fuller_diffusivity(formula="C6H6", molar_mass_g_mol=78.11, rings=1, temperature=298.15)
    >>> round(found * 1e4, 3)
    0.091
    """
    volume = diffusion_volume(formula, rings=rings, edition=edition)
    if volume is None or volume <= 0:
        return None
    chosen = VOLUMES[edition]
    return fuller(
        temperature,
        pressure=pressure,
        molar_mass_g_mol=molar_mass_g_mol,
        volume=volume,
        coefficient=chosen.coefficient,
        air_volume=chosen.air,
    )


@cache
def _rings(smiles: str) -> int:
    """Aromatic and heterocyclic rings in a structure [-]."""
    found = molecule(smiles)
    if found is None:
        return 0
    count = 0
    for ring in found.GetRingInfo().AtomRings():
        atoms = [found.GetAtomWithIdx(index) for index in ring]
        count += all(atom.GetIsAromatic() for atom in atoms) or any(
            atom.GetAtomicNum() != 6 for atom in atoms
        )
    return count


def diffusivity_in_air(cas: str, *, temperature: float) -> Sourced | Missing:
    """Diffusivity in air at one atmosphere [m²/s].

    Parameters
    ----------
    cas : str
        CAS number.
    temperature : float
        Temperature [K].

    Notes
    -----
    Stillroom's own typed values; the diffusion volumes of 1969 (they know more elements); where an element
    has none, D = 1.55 M^−0.65 cm²/s at 25 °C [Schwarzenbach 2003], within a factor of 1.5.
    """
    known = identity(cas)
    if known is None:
        return unknown_substance(cas)
    entry = typed_rows("diffusivities").get(cas)
    if entry is not None:
        at, power = float(entry["temperature_K"]), float(entry["exponent"])
        value = float(entry["diffusivity_cm2_s"]) * 1e-4 * (temperature / at) ** power
        note = f"{entry['diffusivity_cm2_s']} cm²/s at {at:g} K, exponent {power:g}"
        return Sourced(value, "m²/s", entry["source"], Origin(entry["origin"]), entry["locator"], note)
    rings = _rings(known.smiles)
    found = fuller_diffusivity(
        formula=known.formula, molar_mass_g_mol=known.molar_mass, rings=rings, temperature=temperature
    )
    if found is not None:
        note = f"{rings} ring correction(s)" if rings else ""
        return Sourced(
            found, "m²/s", "fuller-1969", Origin.COMPUTED, f"diffusion volumes, {known.formula}", note
        )
    value = 1.55e-4 * known.molar_mass**-0.65 * (temperature / 298.15) ** 1.75
    return Sourced(
        value, "m²/s", "schwarzenbach-2003", Origin.ESTIMATED, "Fig. 18.9", "within a factor of 1.5"
    )
