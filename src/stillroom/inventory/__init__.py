"""The inventory: what is to be stored, as people write it down."""

from stillroom.inventory.model import Closure, Component, Container, Inventory
from stillroom.inventory.reader import as_written, cells, from_rows, read, read_bytes

__all__ = [
    "Closure",
    "Component",
    "Container",
    "Inventory",
    "as_written",
    "cells",
    "from_rows",
    "read",
    "read_bytes",
]
