"""Exposure limits: what each list prints, and which of them applies.

A list is one CSV file of printed entries and one TOML sidecar in ``data``; a new jurisdiction is a new pair
of files. A user's own list is one file (`own`). Lists are never merged: `choose` picks among those that the user named and says which it picked.
"""

from stillroom.substances.limits.by_hand import NeedsConfirmation, by_hand
from stillroom.substances.limits.choice import choose
from stillroom.substances.limits.compare import own_mass_concentration
from stillroom.substances.limits.lookup import nuisance_dust, of, remarks
from stillroom.substances.limits.model import LimitList
from stillroom.substances.limits.own import broken
from stillroom.substances.limits.tables import groups_of, listed, lists
from stillroom.substances.limits.versions import versions

__all__ = [
    "LimitList",
    "NeedsConfirmation",
    "broken",
    "by_hand",
    "choose",
    "groups_of",
    "listed",
    "lists",
    "nuisance_dust",
    "of",
    "own_mass_concentration",
    "remarks",
    "versions",
]
