"""Well-mixed balances against textbooks and numbers."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from stillroom import room
from stillroom.errors import OutOfValidity
from stillroom.units import molar_volume

FOOT3 = 0.028316846592


@pytest.mark.parametrize(("mixing", "ppm"), [(0.1, 94.3), (0.5, 18.9)])
def test_open_toluene_vessel(mixing: float, ppm: float) -> None:
    # Crowl & Louvar, Example 3-7: 0.1 g/min of toluene, 100 ft³/min, 80 °F, 1 atm. Three digits printed: 0.3
    # %.
    release = 0.1 / 60 / 92.13
    level = room.steady(release, flow=100 * FOOT3 / 60, mixing=mixing)
    assert float(level) * molar_volume(temperature=540 / 1.8) * 1e6 == pytest.approx(ppm, rel=0.004)


def test_against_the_agency_mass_balance() -> None:
    # EPA/OPPT mass balance model: C_v = 170000 T G/(MW Q k), ppm, g/s, ft³/min, K. The constant has two
    # digits: half the last is 3 %.
    kelvin, grams, molar_mass, flow, k = 298.0, 0.02, 92.14, 500.0, 0.1
    theirs = 170000 * kelvin * grams / (molar_mass * flow * k)
    level = room.steady(grams / molar_mass, flow=flow * FOOT3 / 60, mixing=k)
    assert float(level) * molar_volume(temperature=kelvin) * 1e6 == pytest.approx(theirs, rel=0.03)


def test_half_life_of_clearance() -> None:
    # industrial hygiene texts: t½ = 0.693 V/Q; AIHA Synergist, April 2017: 540 m³ at 54 m³/min is 6 per hour
    half = 0.6931 * 540 / (54 / 60)
    left = room.transient(half, release=0.0, volume=540.0, flow=54 / 60, initial=1.0)
    assert float(left) == pytest.approx(0.5, rel=1e-4)


def test_rises_to_the_steady_state_and_no_further() -> None:
    times = np.linspace(0, 12000, 50)
    level = room.transient(times, release=1e-4, volume=60.0, flow=0.1)
    end = float(room.steady(1e-4, flow=0.1))
    assert np.all(np.diff(level) > 0) and np.all(level < end)
    # 12 000 s are 20 time constants
    assert level[-1] == pytest.approx(end, rel=1e-8)


def test_without_air_exchange_it_rises_in_a_line() -> None:
    assert float(room.transient(100.0, release=2.0, volume=50.0, flow=0.0, initial=1.0)) == pytest.approx(5.0)
    with pytest.raises(OutOfValidity, match="transient"):
        room.steady(1.0, flow=0.0)


@pytest.mark.parametrize("flow", [0.0, 1e-9, 1e-6, 1e-3, 0.1, 5.0])
def test_mean_is_the_integral(flow: float) -> None:
    def level(t: float) -> float:
        return float(room.transient(t, release=1e-3, volume=60.0, flow=flow, initial=2e-5))

    integral, _ = quad(level, 0.0, 28800.0, limit=500, epsrel=1e-10, points=[60, 600, 6000])
    # 1e-7: the quadrature's tolerance, with a margin for the steep start
    assert float(room.mean(28800.0, release=1e-3, volume=60.0, flow=flow, initial=2e-5)) == pytest.approx(
        integral / 28800.0, rel=1e-7
    )


@pytest.mark.parametrize("flow", [0.0, 1e-6, 0.01, 0.1, 1.0])
@pytest.mark.parametrize("duration", [60.0, 900.0, 7200.0])
@pytest.mark.parametrize("window", [900.0, 28800.0])
def test_worst_mean_against_a_search(flow: float, duration: float, window: float) -> None:
    # The same by brute force: cumulative trapezoid on a fine grid, best window. 0.2 %: the grid.
    step = 5.0
    times = np.arange(0.0, duration + 2 * window + step, step)
    common = {"volume": 60.0, "flow": flow}
    peak = room.transient(duration, release=1e-3, **common)
    level = np.where(
        times <= duration,
        room.transient(np.minimum(times, duration), release=1e-3, **common),
        room.transient(np.maximum(times - duration, 0), release=0.0, initial=peak, **common),
    )
    total = np.concatenate([[0.0], np.cumsum(0.5 * (level[1:] + level[:-1]) * step)])
    width = round(window / step)
    best = np.max(total[width:] - total[:-width]) / window
    ours = float(room.worst_mean(window, release=1e-3, duration=duration, **common))
    assert ours == pytest.approx(best, rel=2e-3)


def test_worst_mean_between_mean_and_peak() -> None:
    for duration in (100.0, 1000.0, 10000.0):
        common = {"release": 1e-3, "volume": 60.0, "flow": 0.1}
        worst = float(room.worst_mean(900.0, duration=duration, **common))
        assert worst <= float(room.transient(duration, **common)) * (1 + 1e-12)


def test_clean_air_delivery() -> None:
    # balance: a filter that passes a tenth of 200 m³/h is worth 180 m³/h of clean air
    assert float(room.clean_air_delivery(flow=200.0, penetration=0.1)) == pytest.approx(180.0)
    assert float(room.clean_air_delivery(flow=200.0, penetration=1.5)) < 0


def test_arrays_broadcast() -> None:
    level = room.worst_mean(
        np.array([900.0, 28800.0])[:, None], release=np.full(7, 1e-3), duration=900.0, volume=60.0, flow=0.1
    )
    assert level.shape == (2, 7) and np.all(level[0] > level[1])
