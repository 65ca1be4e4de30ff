"""The numerical bed: any vapours through stacked layers, march in time, sweep along the bed. Compiles when first asked."""

from stillroom.bed.transport.grid import grid
from stillroom.bed.transport.load import load, parse
from stillroom.bed.transport.problem import Langmuir, Linear, Packing, Problem, Scheme
from stillroom.bed.transport.result import Curve, Ensemble
from stillroom.bed.transport.solve import simulate, simulate_draws

__all__ = [
    "Curve",
    "Ensemble",
    "Langmuir",
    "Linear",
    "Packing",
    "Problem",
    "Scheme",
    "grid",
    "load",
    "parse",
    "simulate",
    "simulate_draws",
]
