"""Beds: inlet history to outlet history. `Stack`: a drawn filter stack; `closed_form`: one bed; `simulate`: any bed, by numbers."""

from stillroom.bed import closed_form
from stillroom.bed.model import SpillExhaust, Vapour
from stillroom.bed.stack import Stack
from stillroom.bed.transport import Curve, Problem, Scheme, load, simulate, simulate_draws

__all__ = [
    "Curve",
    "Problem",
    "Scheme",
    "SpillExhaust",
    "Stack",
    "Vapour",
    "closed_form",
    "load",
    "simulate",
    "simulate_draws",
]
