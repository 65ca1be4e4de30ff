"""What is asked of a numerical bed. Pure data; an array may have a last axis of draws."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from stillroom.media.tables import Tables

__all__ = ["Langmuir", "Law", "Linear", "Packing", "Problem", "Scheme"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Linear:
    """q_i = henry_i p_i: each vapour as if alone."""

    henry: Array
    """(vapours[, draws]), above zero [mol/(kg Pa)]"""


@dataclass(frozen=True, slots=True)
class Langmuir:
    """q_i = limit_i b_i p_i/(1 + Σ b_j p_j)."""

    limit: Array
    """(vapours[, draws]), above zero [mol/kg]"""
    affinity: Array
    """b, (vapours[, draws]), above zero [1/Pa]"""


Law = Linear | Langmuir | Tables


@dataclass(frozen=True, slots=True)
class Packing:
    """One layer: a medium at rest."""

    depth: float
    """[m]"""
    bulk_density: float | Array
    """(draws,) or one [kg/m³]"""
    laws: tuple[Law, ...]
    """one for each state of the air"""
    rates: Array
    """k of u ∂c/∂z = −k (c − c*), (states, vapours[, draws]) [1/s]"""
    stock: Array | None = None
    """what an impregnation takes up of each vapour alone, for good, (states, vapours[, draws]); 0: the vapour adsorbs
    by its law. A vapour with a stock does not adsorb; c* = 0 and its k falls with the stock that is left [mol/kg]"""


@dataclass(frozen=True, slots=True)
class Scheme:
    """How finely. What is left at its defaults errs by about 1e-3 of the inlet (docs/theory/bed.md)."""

    cells: tuple[int, ...] = ()
    """of each layer; empty: by its transfer units"""
    tolerance: float = 1e-4
    """of one step, as a share of what is held"""
    longest_step: float = float("inf")
    """[s]"""
    most_steps: int = 200_000


@dataclass(frozen=True, slots=True)
class Problem:
    """Layers in the order of the air, and what the air brings, piece by piece constant."""

    vapours: tuple[str, ...]
    """CAS numbers"""
    layers: tuple[Packing, ...]
    area: float
    """[m²]"""
    times: Array
    """where each piece begins, and the end, (pieces + 1,) [s]"""
    inlet: Array
    """(pieces, vapours[, draws]) [mol/m³]"""
    flow: Array
    """(pieces[, draws]) [m³/s]"""
    temperature: Array
    """(pieces,) [K]"""
    pressure: float = 101325.0
    """[Pa]"""
    state: tuple[int, ...] = ()
    """which of the laws and rates hold in each piece; empty: the first in all"""
    fractions: tuple[float, ...] = (0.01, 0.10)
    """of each vapour's largest inlet, for which breakthrough times are told"""
    start: Array | None = None
    """loading at the start, (layers, vapours[, draws]); none where absent [mol/kg]"""
    families: tuple[str, ...] = ()
    """of each vapour, "" for one by itself: members of one use up an impregnation's stock together, by the share of
    it that each would use; empty: all by themselves"""
    scheme: Scheme = Scheme()
    invented: bool = False
    """the data are made up, for an example"""
