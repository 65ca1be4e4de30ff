"""How much room a container takes: a cylinder from its amount."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.inventory.model import Container

__all__ = ["Footprint", "footprint"]

_LITRE = 1e-3
_POWDER = 1000.0
"""Bulk density by which a powder's bottle is sized [kg/m³] (from memory)."""
_GLASS = 0.45
"""Empty bottle over its volume [kg/L] (from memory: a 2.5 L glass bottle weighs about 1.1 kg)."""
_FILL = 0.85
"""Contents over brim volume (from memory)."""
_SLENDER = 2.0
"""Height over diameter of a laboratory bottle, neck included (from memory: 2.5 L is about 0.14 m wide and 0.29 m high)."""


@dataclass(frozen=True, slots=True)
class Footprint:
    """Diameter [m], height [m], mass with contents [kg], volume of the contents [m³]."""

    diameter: float
    height: float
    mass: float
    volume: float


def footprint(container: Container, *, density: float = 1000.0) -> Footprint:
    """The cylinder that one of the container's copies takes.

    Parameters
    ----------
    container : Container
    density : float
        Of liquid contents [kg/m³].

    Notes
    -----
    V_brim = π/4 d² h · 0.8 (shoulder and neck), h = 2 d; proportions from memory. Validity: 1 mL to 25 L.
    """
    if container.amount.kind == "volume":
        volume, mass = container.amount.value, container.amount.value * density
    else:
        volume, mass = container.amount.value / _POWDER, container.amount.value
    brim = max(volume / _FILL, 5e-6)
    diameter = (brim / (0.785398 * 0.8 * _SLENDER)) ** (1.0 / 3.0)
    return Footprint(diameter, _SLENDER * diameter, mass + _GLASS * brim / _LITRE, volume)
