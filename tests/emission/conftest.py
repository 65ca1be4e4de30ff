"""Containers for the tests of this room; all invented."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from stillroom.inventory.model import Component, Container
from stillroom.substances import resolve
from stillroom.units import Quantity

WATER = "7732-18-5"


def bottle(cas: str, mass_fraction: float | None = 1.0, **fields: Any) -> Container:
    """One row of an inventory: 2.5 L in glass with a lined screw cap unless said otherwise."""
    substance = resolve(cas=cas).substance
    water = resolve(cas=WATER).substance
    assert substance is not None and water is not None
    components: tuple[Component, ...] = (Component(substance, mass_fraction),)
    if mass_fraction is not None and mass_fraction < 1.0:
        components += (Component(water, 1.0 - mass_fraction),)
    given: dict[str, Any] = {
        "key": "r1",
        "row": 1,
        "name": substance.name,
        "cas_written": cas,
        "components": components,
        "amount": Quantity(2.5e-3, "volume", "2.5 L"),
        "count": 1,
        "state": "liquid" if mass_fraction == 1.0 else "solution",
        "material": "glass",
        "closure": "screw cap with liner",
        "opened_stated": True,
    }
    return Container(**(given | fields))


@pytest.fixture
def make() -> Callable[..., Container]:
    return bottle


@pytest.fixture
def air() -> dict[str, Any]:
    """22 °C, one atmosphere."""
    return {"temperature": 295.15, "pressure": 101325.0}


@pytest.fixture
def rng() -> np.random.Generator:
    return np.random.default_rng(1)
