"""What evaporates: containers in, mol/s out."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from stillroom.emission.aqueous import table_pressure, van_laar
    from stillroom.emission.breathing import breathing_rate, expansion_factor
    from stillroom.emission.closures import closure_rate, stefan_factor, wall_rate
    from stillroom.emission.dust import handling_dust, spilled_dust
    from stillroom.emission.model import Release, Spill
    from stillroom.emission.openings import opening_rate
    from stillroom.emission.pools import evaporated
    from stillroom.emission.release import normal_release
    from stillroom.emission.solutions import partial_pressures
    from stillroom.emission.spills import forced_transfer, free_transfer, pool_area, spill

__all__ = [
    "Release",
    "Spill",
    "breathing_rate",
    "closure_rate",
    "evaporated",
    "expansion_factor",
    "forced_transfer",
    "free_transfer",
    "handling_dust",
    "normal_release",
    "opening_rate",
    "partial_pressures",
    "pool_area",
    "spill",
    "spilled_dust",
    "stefan_factor",
    "table_pressure",
    "van_laar",
    "wall_rate",
]

# module -> names; read on first use, so that `import stillroom.emission` stays light
_LAZY = {
    "aqueous": ("table_pressure", "van_laar"),
    "breathing": ("breathing_rate", "expansion_factor"),
    "closures": ("closure_rate", "stefan_factor", "wall_rate"),
    "dust": ("handling_dust", "spilled_dust"),
    "model": ("Release", "Spill"),
    "openings": ("opening_rate",),
    "pools": ("evaporated",),
    "release": ("normal_release",),
    "solutions": ("partial_pressures",),
    "spills": ("forced_transfer", "free_transfer", "pool_area", "spill"),
}
_HOME = {name: module for module, names in _LAZY.items() for name in names}


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(import_module(f"stillroom.emission.{_HOME[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
