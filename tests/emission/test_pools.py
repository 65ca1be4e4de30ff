"""A pool that cools and weakens: an agency's averages, and balances."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from stillroom import emission
from stillroom.inventory.model import Container
from stillroom.units import GAS_CONSTANT, Quantity

Make = Callable[..., Container]
Air = dict[str, Any]
HCL, AMMONIA, FORMALDEHYDE, TOLUENE = "7647-01-0", "7664-41-7", "50-00-0", "108-88-3"
DICHLOROMETHANE, ACETONE, ETHER = "75-09-2", "67-64-1", "60-29-7"
MMHG = 133.322


def poured(container: Container, air: Air, **fields: Any) -> emission.Spill:
    given: dict[str, Any] = {"area": 0.225, "air_speed": 0.05, "size": 400, **air, **fields}
    return emission.spill(container, rng=np.random.default_rng(1), **given)


@pytest.mark.parametrize(
    ("cas", "strength", "wind", "average", "highest"),
    [
        (HCL, 0.38, 1.5, 78.0, 1.6),
        (HCL, 0.37, 1.5, 67.0, 1.6),
        (HCL, 0.37, 3.0, 48.0, 1.6),
        (HCL, 0.34, 1.5, 38.0, 1.4),
        (HCL, 0.30, 1.5, 13.0, 1.1),
        (AMMONIA, 0.30, 1.5, 332.0, 1.1),
        (AMMONIA, 0.24, 1.5, 241.0, 1.1),
        (AMMONIA, 0.24, 3.0, 184.0, 1.1),
        (AMMONIA, 0.20, 3.0, 148.0, 1.1),
        (FORMALDEHYDE, 0.37, 1.5, 1.5, 1.1),
    ],
)
def test_average_pressure_of_a_weakening_pool(
    make: Make, cas: str, strength: float, wind: float, average: float, highest: float
) -> None:
    """EPA 550-B-99-009, table B-3, from memory: 10-minute average pressure over a pool of 1 cm at 25 °C [mmHg], by
    strength and wind [m/s]. Same setting here: held at 25 °C, no Stefan factor. Not under 0.85 of it, and not
    over by more than our stronger falling-off of the pressure table explains.
    """
    spill = poured(
        make(cas, strength, amount=Quantity(0.1, "volume")),
        {"temperature": 298.15, "pressure": 1e12},
        area=10.0,
        air_speed=wind,
    )
    warm = replace(spill, warming=spill.warming * 1e6)
    share = emission.evaporated(warm, seconds=600.0)[0] / (spill.rate[0] * 600.0)
    ours = np.median(share) * spill.saturation[0] * GAS_CONSTANT * 298.15 / MMHG
    assert 0.85 < ours / average < highest


def test_a_pool_ends_at_its_wet_bulb(make: Make, air: Air) -> None:
    """The steady balance H (T₀ − T) = L G c*(T), solved apart; between an hour and an hour and a half, 3 %."""
    spill = poured(make(ACETONE), air)
    late = (emission.evaporated(spill, seconds=5400.0) - emission.evaporated(spill, seconds=3600.0)) / 1800.0
    latent, t0, p0 = spill.latent_temperature[0], spill.temperature, spill.saturation[0] * GAS_CONSTANT
    full = float(emission.stefan_factor(p0 * t0 / spill.pressure))

    def rate(k: int, t: float) -> float:
        pressure = p0 * t0 * np.exp(latent * (1 / t0 - 1 / t))
        stefan = float(emission.stefan_factor(pressure / spill.pressure)) / full
        return float(spill.conductance[0, k] * pressure / (GAS_CONSTANT * t) * stefan)

    for k in range(5):
        t = brentq(lambda t, k=k: spill.warming[k] * (t0 - t) - GAS_CONSTANT * latent * rate(k, t), 200.0, t0)
        assert late[0, k] == pytest.approx(rate(k, t), rel=0.03)
        assert t < t0 - 10.0


def test_volatile_pools_are_slowed_and_toluene_hardly(make: Make, air: Air) -> None:
    """Heat balance by hand, 2.5 L in a tray, 15 min: dichloromethane loses 0.3 MJ/m² and more from 17 kJ/(m² K), so it
    must be far colder and slower; toluene, 0.05 MJ/m² (1.5 g/min of 0.41 kJ/g), under 4 K."""
    for cas, low, high in ((DICHLOROMETHANE, 0.35, 0.75), (ETHER, 0.2, 0.65), (TOLUENE, 0.85, 1.0)):
        spill = poured(make(cas), air)
        share = np.median(emission.evaporated(spill, seconds=900.0)[0] / (spill.rate[0] * 900.0))
        assert low < share < high


def test_never_more_than_there_was_and_never_less_with_time(make: Make, air: Air) -> None:
    for cas, strength in ((ETHER, 1.0), (HCL, 0.37), (AMMONIA, 0.25)):
        spill = poured(make(cas, strength, amount=Quantity(1e-4, "volume")), air)
        given = [emission.evaporated(spill, seconds=t)[0] for t in (1.0, 60.0, 900.0, 28800.0, 1e6)]
        assert np.all(np.diff(given, axis=0) >= -1e-9 * spill.amount[0])
        assert np.all(given[-1] <= spill.amount[0] * (1 + 1e-12))
        assert np.all(given[2] <= spill.mean_rate(900.0)[0] * 900.0 * (1 + 1e-12))


def test_air_that_fills_slows_the_pool(make: Make, air: Air) -> None:
    spill = poured(make(ACETONE), air)
    free, slow = (emission.evaporated(spill, seconds=600.0, flow=q)[0] for q in (np.inf, 1e-3))
    assert np.all(slow < free)
    assert np.all(slow <= 1e-3 * 600.0 * spill.saturation[0])


def test_steps_are_small_enough(make: Make, air: Air) -> None:
    """The march against an eighth of its step, by eight calls' worth of pools: to 3 %, and on the cautious side."""
    from stillroom.emission import pools

    for cas, strength in ((HCL, 0.37), (DICHLOROMETHANE, 1.0)):
        spill = poured(make(cas, strength), air)
        coarse = emission.evaporated(spill, seconds=900.0)[0]
        steps, pools._STEPS = pools._STEPS, 480
        try:
            fine = emission.evaporated(spill, seconds=900.0)[0]
        finally:
            pools._STEPS = steps
        assert np.all(coarse >= fine * (1 - 1e-3)) and np.all(coarse <= fine * 1.03)


def test_a_strength_that_is_not_stated_does_not_fall(make: Make, air: Air) -> None:
    assert poured(make(HCL, None, state="solution"), air).exponent[0] == 0.0
    assert poured(make(TOLUENE), air).exponent[0] == 0.0
    # Perry, 20 °C: 149 mmHg between 36 (105.5) and 38 % (210), 10.6 at 30 %: ln(14.1)/ln(37/30) = 12.6
    assert poured(make(HCL, 0.37), air).exponent[0] == pytest.approx(12.6, rel=0.1)
