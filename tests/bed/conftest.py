"""Vapours and stacks for the tests of beds: property values rounded from handbooks, from memory."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from stillroom import bed, media
from stillroom.sources import Missing, Origin, Sourced
from stillroom.substances.model import Properties

# molar mass [g/mol], saturation pressure [Pa] at 22 °C, liquid density [kg/m³], refraction [cm³/mol], D [m²/s]
VALUES = {
    "toluene": (92.14, 3240.0, 867.0, 31.1, 8.0e-6),
    "acetone": (58.08, 27000.0, 790.0, 16.1, 1.05e-5),
    "methanol": (32.04, 14400.0, 792.0, 8.2, 1.5e-5),
    "benzene": (78.11, 11000.0, 877.0, 26.2, 8.8e-6),
    "decane": (142.28, 150.0, 730.0, 48.3, 5.7e-6),
    "ammonia": (17.03, 9.1e5, 610.0, 5.6, 2.3e-5),
    "hydrogen chloride": (36.46, 4.3e6, 830.0, 6.7, 1.8e-5),
    "sulphur dioxide": (64.06, 3.5e5, 1380.0, 9.7, 1.2e-5),
}
AIR = {"temperature": 295.15, "pressure": 101325.0, "relative_humidity": 0.40}
FLOW = 200.0 / 3600.0
PPM = 101325.0 / (8.314462618 * 295.15) * 1e-6  # mol/m³ in one ppm


def properties(name: str) -> Properties:
    def sourced(value: float) -> Sourced:
        return Sourced(value, "", "from-memory", Origin.FROM_MEMORY)

    molar_mass, saturation, density, refraction, diffusivity = VALUES[name]
    no = Missing("not needed here")
    return Properties(
        cas=name,
        temperature=295.15,
        molar_mass=sourced(molar_mass),
        saturation_pressure=sourced(saturation),
        liquid_density=sourced(density),
        boiling_point=no,
        melting_point=no,
        molar_polarisability=sourced(refraction),
        diffusivity_in_air=sourced(diffusivity),
        lower_flammable_limit=no,
        flash_point=no,
        ionisation_energy=no,
        phase="liquid",
    )


@pytest.fixture
def draw() -> Callable[..., bed.Stack]:
    """A drawn stack: media by name with kilograms, vapours by name (with family after a colon)."""

    def _draw(
        *vapours: str, beds: tuple[tuple[str, float], ...] = (("coconut", 8.0),), size: int = 400, **air
    ):
        layers = tuple(media.Bed(media.load(name), mass, 0.25) for name, mass in beds)
        served = tuple(air.pop("served", ()))
        stack = media.FilterStack(None, layers, media.default_seal_bypass(), "2026-01-01", served)
        split = [name.partition(":") for name in vapours]
        return bed.Stack.draw(
            stack,
            [bed.Vapour(properties(name), family) for name, _, family in split],
            flow=air.pop("flow", FLOW),
            **{**AIR, **air},
            rng=np.random.default_rng(1),
            size=size,
        )

    return _draw


@pytest.fixture
def ppm() -> float:
    """mol/m³ in one ppm."""
    return PPM
