"""Conversions that need a formula; the plain factors live in `units.quantity`."""

from __future__ import annotations

__all__ = [
    "GAS_CONSTANT",
    "STANDARD_PRESSURE",
    "STANDARD_TEMPERATURE",
    "mg_m3_to_ppm",
    "molar_volume",
    "ppm_to_mg_m3",
]

GAS_CONSTANT = 8.31446261815324
"""Molar gas constant [J/(mol·K)], exact since 2019 (SI Brochure, 9th ed.)."""
STANDARD_TEMPERATURE = 298.15
"""25 °C, the temperature at which exposure limits in ppm and mg/m³ are set against each other [K]."""
STANDARD_PRESSURE = 101325.0
"""One atmosphere [Pa]."""


def molar_volume(*, temperature: float = STANDARD_TEMPERATURE, pressure: float = STANDARD_PRESSURE) -> float:
    """Molar volume of an ideal gas [m³/mol].

    Parameters
    ----------
    temperature : float
        Temperature [K].
    pressure : float
        Pressure [Pa].

    Notes
    -----
    Ideal gas; within 0.1 % for air at room conditions.

    Examples
    --------
    OSHA's Analytical Methods Manual, Appendix B, uses 24.46 L/mol at 25 °C and 760 mmHg.

    >>> round(molar_volume() * 1000, 2)
    24.47
    """
    return GAS_CONSTANT * temperature / pressure


def ppm_to_mg_m3(
    ppm: float,
    *,
    molar_mass_g_mol: float,
    temperature: float = STANDARD_TEMPERATURE,
    pressure: float = STANDARD_PRESSURE,
) -> float:
    """Mass concentration of a vapour [mg/m³] from its volume fraction [ppm].

    Parameters
    ----------
    ppm : float
        Volume fraction [ppm].
    molar_mass_g_mol : float
        Molar mass [g/mol].
    temperature, pressure : float
        State of the air [K], [Pa].

    Notes
    -----
    Ideal gas. Particulates have no ppm.

    Examples
    --------
    NIOSH Pocket Guide, toluene: 1 ppm = 3.77 mg/m³.

    >>> round(ppm_to_mg_m3(1.0, molar_mass_g_mol=92.14), 2)
    3.77
    """
    return ppm * 1e-3 * molar_mass_g_mol / molar_volume(temperature=temperature, pressure=pressure)


def mg_m3_to_ppm(
    mg_m3: float,
    *,
    molar_mass_g_mol: float,
    temperature: float = STANDARD_TEMPERATURE,
    pressure: float = STANDARD_PRESSURE,
) -> float:
    """Volume fraction of a vapour [ppm] from its mass concentration [mg/m³]; inverse of `ppm_to_mg_m3`.

    Parameters
    ----------
    mg_m3 : float
        Mass concentration [mg/m³].
    molar_mass_g_mol : float
        Molar mass [g/mol].
    temperature, pressure : float
        State of the air [K], [Pa].

    Notes
    -----
    Ideal gas.
    """
    return mg_m3 * 1e3 / molar_mass_g_mol * molar_volume(temperature=temperature, pressure=pressure)
