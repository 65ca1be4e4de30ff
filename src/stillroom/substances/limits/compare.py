"""Limits in one unit, so that they can be set against each other: mg/m³ of the substance itself."""

from __future__ import annotations

from stillroom.errors import CannotTell
from stillroom.substances.limits.tables import mass_fraction
from stillroom.substances.model import Limit
from stillroom.units import ppm_to_mg_m3

__all__ = ["molar_mass", "own_mass_concentration", "own_mass_words"]


def molar_mass(cas: str) -> float | None:
    """Molar mass [g/mol], None where it is not known."""
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
                f"the molar mass of {limit.name or limit.cas} is not known, so its limit in ppm cannot be compared "
                "with one in mg/m³. Choose lists that print one unit, or give a limit by hand."
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
            f"{limit.value:g} mg/m³ counts {limit.measured_as} alone; its share in the substance is not known, "
            "so the value is used for the whole substance, which is cautious."
        )
    return (
        f"{limit.value:g} mg/m³ as {limit.measured_as} is {limit.value / part:.3g} mg/m³ of the substance itself "
        f"(mass fraction of {limit.measured_as} {part:.3f})."
    )
