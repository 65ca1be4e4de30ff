"""Diffusion through the gap of a closed (or open) closure, and through a plastic wall."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from stillroom.units import GAS_CONSTANT

__all__ = ["closure_rate", "neck_bore", "stefan_factor", "wall_rate"]

Array = NDArray[np.float64]

_REFERENCE_VOLUME = 2.5e-3
_HIGHEST_RATIO = 0.95


def stefan_factor(pressure_ratio: ArrayLike) -> Array:
    """How much faster a vapour leaves because it carries itself out: −ln(1 − y)/y [-], y = p/P.

    Parameters
    ----------
    pressure_ratio : array_like
        Partial over total pressure y [-].

    Validity
    --------
    Above y = 0.95 (near boiling) the value there, 3.15, is kept: the contents boil.

    Notes
    -----
    Stefan diffusion into still air that holds none; the "high volatility correction" of pool models is the
    same factor [brighton-1985]. Tends to 1 for thin vapours.
    """
    y = np.clip(np.asarray(pressure_ratio, float), 1e-9, _HIGHEST_RATIO)
    return np.asarray(-np.log1p(-y) / y)


def neck_bore(volume: ArrayLike, *, bore_reference: ArrayLike = 0.028) -> Array:
    """Bore of a bottle's neck [m].

    Parameters
    ----------
    volume : array_like
        Nominal volume [m³].
    bore_reference : array_like
        Bore of a 2.5 L bottle [m].

    Validity
    --------
    1 mL … 20 L, from memory: bore ∝ V^(1/4).

    Notes
    -----
    Gives 22 mm for 1 L and 13 mm for 100 mL.
    """
    return np.asarray(np.asarray(bore_reference) * (np.asarray(volume, float) / _REFERENCE_VOLUME) ** 0.25)


def closure_rate(
    partial_pressure: ArrayLike,
    *,
    diffusion_length: ArrayLike,
    diffusivity: ArrayLike,
    temperature: float,
    pressure: float,
) -> Array:
    """Diffusion out of a closed container, λ D p/(RT) · Stefan factor [mol/s].

    Parameters
    ----------
    partial_pressure : array_like
        In the headspace p [Pa].
    diffusion_length : array_like
        Leak area over leak path λ [m].
    diffusivity : array_like
        In air D [m²/s].
    temperature : float
        Air and contents T [K].
    pressure : float
        Ambient P [Pa].

    Validity
    --------
    No pressure difference over the closure; the air outside holds none of the vapour (the cautious end).

    Notes
    -----
    Fick's law over the gap [bird-transport].
    """
    p = np.asarray(partial_pressure, float)
    concentration = p / (GAS_CONSTANT * temperature)
    return np.asarray(
        np.asarray(diffusion_length) * np.asarray(diffusivity) * concentration * stefan_factor(p / pressure)
    )


def wall_rate(
    partial_pressure: ArrayLike, *, wall_conductance: ArrayLike, volume: ArrayLike, temperature: float
) -> Array:
    """Permeation through a plastic bottle's wall, w A p/(RT) with A = 6 V^(2/3) [mol/s].

    Parameters
    ----------
    partial_pressure : array_like
        In the bottle p [Pa].
    wall_conductance : array_like
        Permeability times solubility over thickness w [m/s].
    volume : array_like
        Of the bottle V [m³].
    temperature : float
        T [K].

    Validity
    --------
    Polyethylene about 1 mm thick; first form, an order of magnitude.

    Notes
    -----
    A cube's area stands for the bottle's. Against the diurnal and permeation limit of 40 CFR 59.611 for fuel
    cans, 0.079 g/(L d), a solvent's median is of that order [40cfr59].
    """
    area = 6.0 * np.asarray(volume, float) ** (2.0 / 3.0)
    return np.asarray(
        np.asarray(wall_conductance) * area * np.asarray(partial_pressure) / (GAS_CONSTANT * temperature)
    )
