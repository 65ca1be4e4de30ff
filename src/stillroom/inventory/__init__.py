"""The inventory: what is to be stored, as people write it down."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from stillroom.inventory.model import Closure, Component, Container, Inventory

if TYPE_CHECKING:
    from stillroom.inventory.reader import from_rows, read, read_bytes

__all__ = ["Closure", "Component", "Container", "Inventory", "from_rows", "read", "read_bytes"]


def __getattr__(name: str) -> Any:
    if name in ("from_rows", "read", "read_bytes"):
        from stillroom.inventory import reader

        return getattr(reader, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
