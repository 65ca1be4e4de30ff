"""Closed solutions of the same equations, and the order in which the scheme comes to them.

With superficial N = kL/u and τ = k c0 t/(ρ_b q0), X = c/c0, Y = q/q0 the equations read ∂X/∂ζ = −(X − X*), ∂Y/∂τ = X − X*.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ive

from stillroom.bed import Scheme, closed_form, simulate

C0 = 1000.0  # ppm


def units(problem) -> tuple[float, float]:
    """N, and τ of one second, for one vapour."""
    layer = problem.layers[0]
    rate, c0 = layer.rates[0, 0], problem.inlet.max()
    law, p = layer.laws[0], c0 * 8.31446261815324 * problem.temperature[0]
    q0 = (
        law.henry[0] * p
        if hasattr(law, "henry")
        else law.limit[0] * law.affinity[0] * p / (1 + law.affinity[0] * p)
    )
    return rate * layer.depth / (problem.flow[0] / problem.area), rate * c0 / (layer.bulk_density * q0)


def j_function(n: float, tau: float) -> float:
    """1 − ∫_0^N e^{−τ−x} I0(2√(τx)) dx [anzelius-1926], [klinkenberg-1948]."""

    def inside(x: float) -> float:
        return float(ive(0, 2.0 * np.sqrt(tau * x)) * np.exp(-((np.sqrt(tau) - np.sqrt(x)) ** 2)))

    peak = min(tau, n)
    return 1.0 - quad(inside, 0.0, n, points=[peak], limit=400, epsabs=1e-12)[0]


@pytest.fixture
def proportional(make):
    return make([], [0.003], [50.0], [(0.0, [C0])], until=5.0, linear=True)


def test_a_proportional_law_follows_the_j_function(proportional):
    n, per_second = units(proportional)
    assert n == pytest.approx(12.5)
    times = 3600.0 * np.linspace(0.0, 5.0, 60)
    expected = [j_function(n, per_second * t) for t in times]
    found = simulate(replace(proportional, scheme=Scheme(tolerance=1e-5)), times=times)
    np.testing.assert_allclose(found.outlet[:, 0] / proportional.inlet.max(), expected, atol=1e-4)
    assert found.outlet[0, 0] / proportional.inlet.max() == pytest.approx(np.exp(-n), rel=1e-9)


def test_third_order_in_space_for_a_proportional_law(proportional):
    n, per_second = units(proportional)
    times = 3600.0 * np.linspace(0.2, 4.0, 30)
    expected = np.array([j_function(n, per_second * t) for t in times])
    errors = [
        np.abs(
            simulate(
                replace(proportional, scheme=Scheme(cells=(cells,), tolerance=1e-7)), times=times
            ).outlet[:, 0]
            / proportional.inlet.max()
            - expected
        ).max()
        for cells in (10, 20, 40)
    ]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert orders.min() > 2.7, (errors, orders)


def test_second_order_in_space_for_a_curved_law(make):
    case = make([3.0], [0.02], [40.0], [(0.0, [C0])], until=60.0)
    times = 3600.0 * np.linspace(1.0, 59.0, 50)

    def outlet(cells: int) -> np.ndarray:
        return simulate(replace(case, scheme=Scheme(cells=(cells,), tolerance=1e-7)), times=times).outlet[
            :, 0
        ]

    finest = outlet(320)
    errors = [np.abs(outlet(cells) - finest).max() for cells in (20, 40, 80)]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert orders.min() > 1.8, (errors, orders)


def test_third_order_in_time(make):
    """Equal steps, error control off, against very short ones on the same cells."""
    case = make([3.0, 3.0], [0.02, 0.2], [20.0, 20.0], [(0.0, [C0, 300.0])], until=8.0)

    def outlet(steps: int) -> np.ndarray:
        scheme = Scheme(cells=(20,), tolerance=1e9, longest_step=8.0 * 3600.0 / steps)
        curve = simulate(replace(case, scheme=scheme), times=[0.0])
        return curve.loading

    finest = outlet(3200)
    errors = [np.abs(outlet(steps) - finest).max() for steps in (100, 200, 400)]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert orders.min() > 2.7, (errors, orders)


@pytest.mark.parametrize(("affinity", "rate"), [(0.04, 240.0), (0.3, 160.0), (1.0, 240.0)])
def test_a_deep_langmuir_bed_has_the_constant_pattern(make, affinity, rate):
    """τ − τ_s = 1 + ((1 + K) ln X − ln(1 − X))/K, K = b p0: the steady front of these equations [michaels-1952].

    dX/dτ = X − X*, X* = X/(1 + K − KX), integrated; τ_s, where the bed's content has come, sets the constant. Thomas'
    solution is not this one: his kinetics, k(c (1 − θ) − θ/(b RT)), has another front with the same balance.
    """
    pressure = C0 * 1e-6 * 101325.0
    k = affinity * pressure
    case = make([3.0], [affinity], [rate], [(0.0, [C0])], until=1.0)
    n, per_second = units(case)
    case = replace(case, times=np.array([0.0, 1.5 * n / per_second]))
    x = np.array([0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 0.8, 0.9])
    expected = (n + 1.0 + ((1.0 + k) * np.log(x) - np.log1p(-x)) / k) / per_second
    found = simulate(replace(case, fractions=tuple(x)))
    hours = np.array(list(found.breakthrough_h["vapour 1"].values()))
    # of a bed's N units, a tenth of one: what is left of the start of the front, and the cells
    np.testing.assert_allclose(hours * 3600.0 * per_second, expected * per_second, atol=0.1)


def test_a_very_favourable_law_is_a_transfer_unit_from_bohart_and_adams(make):
    """q0 c0 fronts with the same balance: X = e^{τ−τ_s−1} before the corner here, the logistic X/(1−X) = e^{τ−τ_s} there.

    So the times differ by 1 + ln(1 − X) units of N, whatever the bed; and a fresh bed lets e^−N through in both.
    """
    case = make([3.0], [50.0], [200.0], [(0.0, [C0])], until=1.0)
    n, per_second = units(case)
    case = replace(case, times=np.array([0.0, 1.5 * n / per_second]), fractions=(0.001, 0.01, 0.1))
    found = simulate(replace(case, scheme=Scheme(cells=(250,))))
    for x, hours in found.breakthrough_h["vapour 1"].items():
        there = closed_form.breakthrough_time(
            fraction=x, inlet=1.0, flow=1.0, capacity=n / per_second, units=n
        )
        assert per_second * (hours * 3600.0 - there) == pytest.approx(1.0 + np.log1p(-x), abs=0.15)
        assert hours * 3600.0 == pytest.approx(float(there), rel=1.2 / n / 0.8)
    first = closed_form.outlet_fraction(fed=0.0, capacity=1.0, units=n)
    assert found.outlet[0, 0] / case.inlet.max() == pytest.approx(float(first), rel=1e-6)
