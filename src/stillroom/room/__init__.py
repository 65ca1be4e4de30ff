"""The room: its file; a release rate in, a concentration out.

``room.load(path)`` reads a ROOM file, ``room.parse_room(tables)`` the tables of one.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from stillroom.room.model import Background, Room, SiteRules

if TYPE_CHECKING:
    from stillroom.room.balance import clean_air_delivery, mean, steady, transient, worst_mean
    from stillroom.room.humidity import draw_humidity
    from stillroom.room.load import load_room as load
    from stillroom.room.load import parse_room

__all__ = [
    "Background",
    "Room",
    "SiteRules",
    "clean_air_delivery",
    "draw_humidity",
    "load",
    "mean",
    "parse_room",
    "steady",
    "transient",
    "worst_mean",
]

# name -> module; read on first use, so that `import stillroom.room` stays light
_LAZY = dict.fromkeys(("clean_air_delivery", "mean", "steady", "transient", "worst_mean"), "balance")
_LAZY |= {"parse_room": "load", "draw_humidity": "humidity"}


def __getattr__(name: str) -> Any:
    if name == "load":
        return import_module("stillroom.room.load")  # which can be called
    if name in _LAZY:
        return getattr(import_module(f"stillroom.room.{_LAZY[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
