"""Beds: inlet history to outlet history. `Stack`: a drawn filter stack; `closed_form`: one bed."""

from stillroom.bed import closed_form
from stillroom.bed.model import SpillExhaust, Vapour
from stillroom.bed.stack import Stack

__all__ = ["SpillExhaust", "Stack", "Vapour", "closed_form"]
