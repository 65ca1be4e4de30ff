"""A medium as the numerical bed takes it: tables and rates from what is drawn of it today."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stillroom.bed.drawing import draw_layers, vapour_arrays
from stillroom.bed.layers import Air, Layer, VapourArrays
from stillroom.bed.model import Vapour
from stillroom.errors import CannotTell
from stillroom.media import default_seal_bypass, tables
from stillroom.media.model import Bed, FilterStack

__all__ = ["DRAWS", "InMedium", "in_medium"]

Array = NDArray[np.float64]

DRAWS = 4001
"""of which the middle is taken: 0.3 % in an energy"""


@dataclass(frozen=True, slots=True)
class InMedium:
    """What a numerical bed asks of one layer in one state of the air."""

    law: tables.Tables
    rates: Array
    """k, (vapours,) [1/s]"""
    stock: Array
    """what the impregnation takes up of each vapour alone, (vapours,); 0 where it adsorbs [mol/kg]"""


def in_medium(
    bed: Bed,
    vapours: Sequence[Vapour],
    *,
    flow: float,
    temperature: float,
    pressure: float,
    relative_humidity: float,
    inlet: Array,
    bulk_density: float,
    grain_diameter: float,
    void_fraction: float,
) -> InMedium:
    """The law of one layer in one state of the air, the rates, and the stocks of an impregnation.

    Parameters
    ----------
    bed : Bed
        Medium, mass and area.
    vapours : sequence of Vapour
        With their properties at that temperature. One with a family is held by an impregnation for it, else not at all.
    flow : float
        Air through it [m³/s].
    temperature, pressure : float
        Of the air [K], [Pa].
    relative_humidity : float
        Fraction, 0 to 1 [-].
    inlet : ndarray, shape (vapours,)
        Largest of each [mol/m³].
    bulk_density : float
        As packed [kg/m³].
    grain_diameter : float
        [m]
    void_fraction : float
        Between the grains [-].

    Notes
    -----
    Dubinin–Radushkevich with the middle of each drawn property, water's part included. k is the correlation that
    `Layer.rates` has for grains that fill, at the loading of each vapour alone at its largest inlet, bounded by the
    film above, and by film and wide pores below, in series with mixing.

    Raises
    ------
    CannotTell
        A property of a vapour is not known.
    """
    arrays, missing, _notes = vapour_arrays(vapours, temperature=temperature, pressure=pressure)
    if missing:
        raise CannotTell("; ".join(f"{cas}: {why}" for cas, why in missing.items()))
    (drawn,) = draw_layers(
        FilterStack(None, (bed,), default_seal_bypass()),
        vapours,
        arrays,
        missing,
        relative_humidity=relative_humidity,
        rng=np.random.default_rng(1),
        size=DRAWS,
    )
    layer = replace(
        _middle(drawn),
        bulk_density=np.array([bulk_density]),
        grain_diameter=np.array([grain_diameter]),
        void_fraction=void_fraction,
    )
    air = Air(np.array([flow]), temperature, pressure)
    alone = layer.physisorbed_alone(arrays, air, inlet[:, None])
    rates, _fresh = layer.rates(arrays, air, alone * arrays.molar_mass)
    stock = 1e3 * layer.stoichiometric[:, 0]
    held = arrays.physisorbed[:, 0] | (stock > 0.0)
    return InMedium(_tables(layer, arrays, temperature), np.where(held, rates[:, 0], 0.0), stock)


def _middle(layer: Layer) -> Layer:
    """Every drawn number at its median."""
    names = [
        name for name in layer.__slots__ if isinstance(getattr(layer, name), np.ndarray) and name != "family"
    ]
    return replace(layer, **{name: np.median(getattr(layer, name), axis=-1, keepdims=True) for name in names})


def _tables(layer: Layer, vapours: VapourArrays, temperature: float) -> tables.Tables:
    return tables.stack(
        tables.dubinin_astakhov(
            saturation_pressure=vapours.saturation_pressure / layer.pressure_left,
            energy=layer.energy,
            limit=layer.pore_volume / vapours.molar_volume * 1e3,
            temperature=temperature,
        )
    )
