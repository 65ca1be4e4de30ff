"""The cabinet: its design, its file, and the air inside it.

>>> from stillroom import cabinet
>>> cabinet.shipped()
('full-height', 'two-bay', 'under-bench')
>>> round(3600 * cabinet.load("under-bench").flow)  # m³/h
80
"""

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
    from stillroom.cabinet.load import load_cabinet as load
    from stillroom.cabinet.load import parse_cabinet, shipped, shipped_tables

__all__ = [
    "LEAKAGE",
    "Cabinet",
    "Compartment",
    "Shelf",
    "air",
    "air_after",
    "air_stopped",
    "flammable_fraction",
    "load",
    "mixture_lower_limit",
    "parse_cabinet",
    "shipped",
    "shipped_tables",
]

# name -> module; read on first use, so that `import stillroom.cabinet` stays light
_LAZY = dict.fromkeys(
    ("LEAKAGE", "air", "air_after", "air_stopped", "flammable_fraction", "mixture_lower_limit"), "atmosphere"
) | dict.fromkeys(("parse_cabinet", "shipped", "shipped_tables"), "load")


def __getattr__(name: str) -> Any:
    if name == "load":
        return import_module("stillroom.cabinet.load")  # which can be called
    if name in _LAZY:
        return getattr(import_module(f"stillroom.cabinet.{_LAZY[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
