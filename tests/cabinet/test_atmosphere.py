"""The air in a cabinet, and Le Chatelier's rule."""

from __future__ import annotations

import math

import numpy as np
import psychrolib
import pytest
from scipy.integrate import solve_ivp

from stillroom import cabinet
from stillroom.sources import Missing, Origin, Sourced
from stillroom.units import molar_volume


def test_steady_air_with_the_fan_running() -> None:
    # balance: release over flow, plus what the room brings
    assert float(cabinet.air(1e-5, flow=0.05, inlet=1e-6)) == pytest.approx(1e-5 / 0.05 + 1e-6)


def test_never_above_saturation() -> None:
    for flow in (0.0, 1e-6, 1e-3):
        assert float(cabinet.air(1.0, flow=flow, saturation=1.3)) <= 1.3
    assert float(cabinet.air(1.0, flow=0.0, saturation=1.3)) == pytest.approx(1.3)
    assert float(cabinet.air(0.0, flow=0.0, inlet=0.2, saturation=1.3)) == 0.2


@pytest.mark.parametrize("flow", [0.0, 1e-4, 0.05])
def test_time_course_against_an_integrator(flow: float) -> None:
    # scipy's solve_ivp at rtol 1e-10 on the balance; 1e-7 leaves a margin for its error
    release, volume, inlet, saturation, start = 2e-4, 0.4, 1e-3, 1.3, 0.05

    def slope(_: float, c: np.ndarray) -> np.ndarray:
        return (flow * (inlet - c) + release * (1 - c / saturation)) / volume

    solved = solve_ivp(slope, (0, 3600), [start], rtol=1e-10, atol=1e-14)
    ours = cabinet.air_after(
        3600.0, release=release, volume=volume, flow=flow, inlet=inlet, initial=start, saturation=saturation
    )
    assert float(ours) == pytest.approx(float(solved.y[0, -1]), rel=1e-7)


def test_fan_stopped_rises_and_stays_below_saturation() -> None:
    times = np.array([0.0, 60.0, 3600.0, 1e5])[:, None]
    level = cabinet.air_stopped(
        times, release=np.full(200, 1e-4), volume=0.4, saturation=1.3, rng=np.random.default_rng(1), size=200
    )
    assert level.shape == (4, 200)
    assert np.all(np.diff(level, axis=0) >= 0) and np.all(level <= 1.3)
    assert np.all(level[2] > 100 * float(cabinet.air(1e-4, flow=0.05)) / 20)  # the fan had held it far lower


def test_le_chatelier_of_the_textbook() -> None:
    # Crowl & Louvar, 2nd ed., ch. 6: hexane, methane, ethylene 0.24 : 0.61 : 0.15 with 1.2, 5.3, 3.1 %:
    # 2.7512 %
    shares = {"110-54-3": 0.24, "74-82-8": 0.61, "74-85-1": 0.15}
    limits = {"110-54-3": 0.012, "74-82-8": 0.053, "74-85-1": 0.031}
    mixed = cabinet.mixture_lower_limit(shares, limits)
    assert mixed == pytest.approx(0.027512, rel=2e-5)
    at_the_limit = cabinet.flammable_fraction({cas: share * mixed for cas, share in shares.items()}, limits)
    assert not isinstance(at_the_limit, Missing)
    assert float(at_the_limit) == pytest.approx(1.0, rel=1e-12)


def test_iso_10156_example_1() -> None:
    # ISO 10156:2017, Example 1: 80 % methane (4.4 %), 20 % ethane (2.4 %): 3.7714 %
    mixed = cabinet.mixture_lower_limit({"a": 0.8, "b": 0.2}, {"a": 0.044, "b": 0.024})
    assert mixed == pytest.approx(0.037714, rel=2e-5)


def test_an_unknown_limit_is_never_taken_as_not_burning() -> None:
    known = Sourced(0.012, "mol/mol", "x", Origin.MEASURED)
    for unknown in (Missing("not listed"), None):
        found = cabinet.flammable_fraction({"a": 0.001, "b": 0.001}, {"a": known, "b": unknown})
        assert isinstance(found, Missing) and "b" in found.reason
    assert isinstance(cabinet.flammable_fraction({"a": 0.001}, {}), Missing)
    inert = cabinet.flammable_fraction({"a": 0.001, "b": 0.3}, {"a": known, "b": math.inf})
    assert not isinstance(inert, Missing) and float(inert) == pytest.approx(0.001 / 0.012)
    # a vapour that is not there asks for no limit
    assert float(cabinet.flammable_fraction({"b": 0.0}, {})) == 0.0  # type: ignore[arg-type]


def test_draws_go_through() -> None:
    found = cabinet.flammable_fraction({"a": np.array([0.001, 0.012])}, {"a": 0.012})
    assert not isinstance(found, Missing)
    np.testing.assert_allclose(found, [1 / 12, 1.0])


def test_molar_volume_against_ashrae() -> None:
    # ASHRAE Handbook of Fundamentals 2017, ch. 1: dry air at 25 °C 0.8443 m³/kg (mean molar mass 28.966
    # g/mol); and psychrolib, which codes its equations. 0.5 %: the handbook's air is not quite ideal.
    psychrolib.SetUnitSystem(psychrolib.SI)
    ours = molar_volume(temperature=298.15, pressure=101325.0) / 28.966e-3
    assert ours == pytest.approx(0.8443, rel=0.005)
    assert 1 / ours == pytest.approx(psychrolib.GetDryAirDensity(25.0, 101325.0), rel=0.005)
