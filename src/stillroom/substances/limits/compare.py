"""Limits in one unit, so that they can be set against each other: mg/m³ of the substance itself."""

from __future__ import annotations

from stillroom.errors import CannotTell
from stillroom.substances.limits.tables import groups_of, mass_fraction
from stillroom.substances.model import Limit
from stillroom.units import ppm_to_mg_m3

__all__ = ["molar_mass", "own_mass_concentration", "own_mass_words"]

# Mixtures have no formula. OSHA prints their limit twice, (ppm, mg/m³): the two give a mean molar mass.
# 29 CFR 1910.1000 Table Z-1.
_PRINTED_TWICE = {
    "8052-41-3": (500.0, 2900.0),  # Stoddard solvent
    "8002-05-9": (500.0, 2000.0),  # petroleum distillates
    "8030-30-6": (100.0, 400.0),  # coal tar naphtha
    "8006-64-2": (100.0, 560.0),  # turpentine
    "68476-85-7": (1000.0, 1800.0),  # liquefied petroleum gas
}


def molar_mass(cas: str) -> float | None:
    """Molar mass [g/mol], of a mixture the mean that its printed limits imply; None where it is not known.

    The table of groups stands first: the package has several hydrates wrong.
    """
    if cas in _PRINTED_TWICE:
        ppm, mg_m3 = _PRINTED_TWICE[cas]
        return mg_m3 / ppm_to_mg_m3(ppm, molar_mass_g_mol=1.0)
    for member in groups_of(cas):
        if member.molar_mass_g_mol is not None:
            return member.molar_mass_g_mol
    from chemicals.identifiers import MW

    try:
        return float(MW(cas))
    except (ValueError, TypeError):
        return None


def own_mass_concentration(limit: Limit, *, molar_mass_g_mol: float | None = None) -> float:
    """A limit as mass of the substance itself in air [mg/m³].

    Parameters
    ----------
    limit : Limit
        As printed, in ppm or mg/m³, as itself or "as X".
    molar_mass_g_mol : float, optional
        Molar mass [g/mol]; looked up where it is not given and a value in ppm needs it.

    Returns
    -------
    float
        [mg/m³] at 25 °C and one atmosphere.

    Raises
    ------
    CannotTell
        The limit is in ppm and the molar mass is not known.

    Notes
    -----
    ppm → mg/m³ by the ideal gas (`units.ppm_to_mg_m3`); a value "as X" is divided by the mass fraction of X.
    Where that fraction is not known the value is taken as it stands, which is the cautious side: a substance
    weighs at least as much as the X in it.

    Examples
    --------
    NIOSH Pocket Guide, toluene: 100 ppm = 375 mg/m³ (printed with 24.45 L/mol and three digits).

    >>> from stillroom.substances import limits
    >>> round(own_mass_concentration(limits.of("108-88-3", "niosh-rel")[0]))
    377
    """
    if limit.unit == "ppm":
        mass = molar_mass(limit.cas) if molar_mass_g_mol is None else molar_mass_g_mol
        if mass is None:
            raise CannotTell(
                f"the molar mass of {limit.name or limit.cas} is not known, so its limit in ppm cannot be "
                "compared with one in mg/m³. Choose lists that print one unit, or give a limit by hand."
            )
        return ppm_to_mg_m3(limit.value, molar_mass_g_mol=mass)
    if not limit.measured_as:
        return limit.value
    return limit.value / (mass_fraction(limit.cas, limit.measured_as) or 1.0)


def own_mass_words(limit: Limit) -> str:
    """Words for a limit "as X": what it is as mass of the substance itself; empty for other limits."""
    if not limit.measured_as or limit.unit == "ppm":
        return ""
    part = mass_fraction(limit.cas, limit.measured_as)
    if part is None:
        return (
            f"{limit.value:g} mg/m³ counts {limit.measured_as} alone; its share in the substance is not "
            "known, so the value is used for the whole substance, which is cautious."
        )
    return (
        f"{limit.value:g} mg/m³ as {limit.measured_as} is {limit.value / part:.3g} mg/m³ of the substance "
        f"itself (mass fraction of {limit.measured_as} {part:.3f})."
    )
