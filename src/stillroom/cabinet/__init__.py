"""The cabinet: its design, and the air inside it."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from stillroom.cabinet.design import Cabinet, Compartment, Shelf

if TYPE_CHECKING:
    from stillroom.cabinet.atmosphere import (
        LEAKAGE,
        air,
        air_after,
        air_stopped,
        flammable_fraction,
        mixture_lower_limit,
    )

__all__ = [
    "LEAKAGE",
    "Cabinet",
    "Compartment",
    "Shelf",
    "air",
    "air_after",
    "air_stopped",
    "flammable_fraction",
    "mixture_lower_limit",
]

# name -> module; read on first use, so that `import stillroom.cabinet` stays light
_LAZY = dict.fromkeys(
    ("LEAKAGE", "air", "air_after", "air_stopped", "flammable_fraction", "mixture_lower_limit"), "atmosphere"
)


def __getattr__(name: str) -> Any:
    if name in _LAZY:
        return getattr(import_module(f"stillroom.cabinet.{_LAZY[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
