"""What evaporates: containers in, mol/s out."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from stillroom.emission.model import Release, Spill
    from stillroom.emission.release import normal_release
    from stillroom.emission.solutions import partial_pressures
    from stillroom.emission.spills import spill

__all__ = ["Release", "Spill", "normal_release", "partial_pressures", "spill"]

# name -> module; read on first use, so that `import stillroom.emission` stays light
_LAZY = {
    "Release": "model",
    "Spill": "model",
    "normal_release": "release",
    "partial_pressures": "solutions",
    "spill": "spills",
}


def __getattr__(name: str) -> Any:
    if name in _LAZY:
        return getattr(import_module(f"stillroom.emission.{_LAZY[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
