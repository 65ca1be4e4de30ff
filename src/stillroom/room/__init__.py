"""The room: a release rate in, a concentration out."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from stillroom.room.model import Background, Room, SiteRules

if TYPE_CHECKING:
    from stillroom.room.balance import clean_air_delivery, mean, steady, transient, worst_mean

__all__ = [
    "Background",
    "Room",
    "SiteRules",
    "clean_air_delivery",
    "mean",
    "steady",
    "transient",
    "worst_mean",
]

# name -> module; read on first use, so that `import stillroom.room` stays light
_LAZY = dict.fromkeys(("clean_air_delivery", "mean", "steady", "transient", "worst_mean"), "balance")


def __getattr__(name: str) -> Any:
    if name in _LAZY:
        return getattr(import_module(f"stillroom.room.{_LAZY[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
