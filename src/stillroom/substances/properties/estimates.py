"""Vapour pressures without a published curve: from the boiling point, or a bound from the structure."""

from __future__ import annotations

import math
from functools import cache

from stillroom.substances.properties.tables import matches
from stillroom.units import GAS_CONSTANT, STANDARD_PRESSURE

__all__ = ["fugacity_ratio", "grain", "simpol_bound"]

FUSION_ENTROPY = 56.5
"""Entropy of fusion of a rigid organic molecule [J/(mol·K)] (Walden's rule; Yalkowsky 1979)."""
_LITRE_ATMOSPHERE = 82.057366  # gas constant [cm³·atm/(mol·K)]


def grain(temperature: float, *, boiling_point: float, structure_factor: float = 1.06) -> float:
    """Vapour pressure of the liquid [Pa] from its normal boiling point alone.

    Parameters
    ----------
    temperature : float
        Temperature [K].
    boiling_point : float
        Normal boiling point [K].
    structure_factor : float
        Fishtine's K_F [-]: 1.0 for hydrocarbons and halides, 1.06 for most others,
        1.1 and more with OH or NH.

    Notes
    -----
    ln(p/atm) = K_F ln(R Tb)/0.97 · [1 − (3 − 2θ)^m/θ − 2m (3 − 2θ)^(m−1) ln θ], θ = T/Tb,
    m = 0.4133 − 0.2575 θ,
    R in cm³·atm/(mol·K): Grain's modification of Watson's rule, [Grain 1990], Eq. 14-25.
    Validity: below the boiling point. Within a factor of 1.5 above 100 Pa, of 3–10 below 0.1 Pa.

    Examples
    --------
    Toluene at 25 °C: 3790 Pa measured.

    >>> round(grain(298.15, boiling_point=383.75, structure_factor=1.0), -2)
    3600.0
    """
    reduced = temperature / boiling_point
    if reduced >= 1:
        heat = structure_factor * GAS_CONSTANT * boiling_point * math.log(_LITRE_ATMOSPHERE * boiling_point)
        return STANDARD_PRESSURE * math.exp(-heat / GAS_CONSTANT * (1 / temperature - 1 / boiling_point))
    power = 0.4133 - 0.2575 * reduced
    base = 3 - 2 * reduced
    bracket = 1 - base**power / reduced - 2 * power * base ** (power - 1) * math.log(reduced)
    return STANDARD_PRESSURE * math.exp(
        structure_factor * math.log(_LITRE_ATMOSPHERE * boiling_point) / 0.97 * bracket
    )


def fugacity_ratio(temperature: float, *, melting_point: float, heat_of_fusion: float | None = None) -> float:
    """Sublimation pressure over the subcooled liquid's vapour pressure [-].

    Parameters
    ----------
    temperature : float
        Temperature [K].
    melting_point : float
        Melting point [K].
    heat_of_fusion : float, optional
        Heat of fusion [J/mol]; without it, 56.5 J/(mol·K) times the melting point (Walden's rule).

    Notes
    -----
    ln ratio = −ΔH_fus/R (1/T − 1/Tm), the heat capacity term left out; 1 at and above the melting point.

    Examples
    --------
    Naphthalene at 25 °C, 19.0 kJ/mol: solid 11 Pa, subcooled liquid 37 Pa.

    >>> round(fugacity_ratio(298.15, melting_point=353.4, heat_of_fusion=19010.0), 2)
    0.3
    """
    heat = FUSION_ENTROPY * melting_point if heat_of_fusion is None else heat_of_fusion
    return min(1.0, math.exp(-heat / GAS_CONSTANT * (1 / temperature - 1 / melting_point)))


# SMARTS and decrease of log10(p/atm) at 293 K that a group brings: Pankow & Asher 2008, Table 5.
_ZEROTH = 1.79
_GROUPS = (
    ("[#6]", -0.438),
    ("[CX4][OX2H]", -2.23),
    ("c[OX2H]", -2.14),
    ("[CX3](=O)[OX2H]", -3.58),
    ("[CX3H1](=O)[#6]", -1.35),
    ("[#6][CX3](=O)[#6]", -0.935),
    ("[CX3](=O)[OX2][#6]", -1.20),
    ("[CX4][OX2][CX4]", -0.718),
    ("[NX3H2][CX4]", -1.03),
    ("[NX3H1]([CX4])[CX4]", -0.849),
    ("[NX3H0]([CX4])([CX4])[CX4]", -0.608),
    ("[#6][$([NX3](=O)=O),$([NX3+](=O)[O-])]", -2.15),
)
# What Pankow & Asher do not have; judged from pairs of simple substances, on the side of too high a pressure.
_OTHER_GROUPS = (
    ("[Cl]", -0.5),
    ("[Br]", -0.7),
    ("[I]", -1.0),
    ("[#16]", -0.7),
    ("P=[O,S]", -0.5),
    ("[CX3](=O)[NX3]", -0.8),
    ("[#6]C#N", -1.0),
    ("c[NX3;H1,H2]", -1.0),
    ("[#6]S(=O)(=O)[OX1,OX2,NX3]", -2.0),
    ("[#6]N=N[#6]", -1.0),
    ("[n]", -0.4),
)


@cache
def simpol_bound(smiles: str) -> float | None:
    """An upper bound of an organic substance's vapour pressure at 20 °C [Pa], from its structure.

    Parameters
    ----------
    smiles : str
        Structure.

    Returns
    -------
    float or None
        None without a structure, or without carbon.

    Notes
    -----
    log10(p/atm) = 1.79 + Σ ν b, the groups of [Pankow 2008] at 293 K; groups that are left out here, and the
    crystal, only lower the pressure. Coefficients from memory;
    those of halogens, sulphur, phosphorus, amides, nitriles and azo groups are a cautious guess of the
    project.
    """
    if not matches(smiles, "[#6]"):
        return None
    total = _ZEROTH + sum(effect * matches(smiles, smarts) for smarts, effect in _GROUPS + _OTHER_GROUPS)
    return float(10.0**total * STANDARD_PRESSURE)
