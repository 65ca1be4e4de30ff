"""The closed form of one bed: its balance, its limits, and a march through the same differential equations."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.bed import closed_form

units = st.floats(0.05, 400.0)
capacities = st.floats(1e-6, 1e3)


@given(n=units, capacity=capacities, progress=st.floats(0.0, 6.0))
def test_passed_is_the_integral_of_the_outlet(n, capacity, progress):
    """d(passed)/d(fed) = outlet fraction: central difference, error of order (N·h)² with h = 1e-5/N."""
    fed = progress * capacity
    h = 1e-5 * capacity / max(n, 1.0)
    up, down = (closed_form.passed(fed=fed + s, capacity=capacity, units=n) for s in (h, -h))
    x = closed_form.outlet_fraction(fed=fed, capacity=capacity, units=n)
    assert float(up - down) / (2 * h) == pytest.approx(float(x), abs=3e-6 + 1e-10 * capacity / h)


@given(n=units, capacity=capacities)
def test_in_the_end_the_bed_holds_its_capacity(n, capacity):
    """Mass balance: fed − passed → capacity, algebra 1e-9."""
    fed = capacity * (1.0 + 60.0 / n) * 2.0
    held = fed - closed_form.passed(fed=fed, capacity=capacity, units=n)
    assert float(held) == pytest.approx(capacity, rel=1e-9)


@given(n=units, capacity=capacities, x=st.floats(1e-4, 0.9999))
def test_fed_at_inverts_the_outlet(n, capacity, x):
    fed = float(closed_form.fed_at(fraction=x, capacity=capacity, units=n))
    start = float(closed_form.outlet_fraction(fed=0.0, capacity=capacity, units=n))
    back = float(closed_form.outlet_fraction(fed=fed, capacity=capacity, units=n))
    assert back == pytest.approx(max(x, start), rel=1e-6)


def test_a_fresh_bed_lets_through_exp_minus_n():
    """Initial penetration below the critical depth; Wheeler's e^(−k_v τ), exact here."""
    for n in (0.5, 3.0, 20.0):
        assert float(closed_form.outlet_fraction(fed=0.0, capacity=1.0, units=n)) == pytest.approx(np.exp(-n))


def test_it_is_wheeler_jonas_for_a_deep_bed():
    """Jonas & Rehrmann (1973): the two differ by ln(1 − e^−N)/N, 1e-13 for N = 28."""
    case = {"fraction": 0.01, "flow": 1.0e-3}
    loading, mass, density, rate, inlet = 0.3, 52.0, 0.44e6, 240.0, 3.8
    printed = closed_form.wheeler_jonas_time(
        **case, inlet=inlet, loading=loading, mass=mass, bulk_density=density, rate_coefficient=rate
    )
    ours = closed_form.breakthrough_time(
        **case, inlet=inlet, capacity=loading * mass, units=rate * mass / density / case["flow"]
    )
    assert float(ours) == pytest.approx(float(printed), rel=1e-10)


@given(n1=units, n2=units, progress=st.floats(0.0, 3.0))
def test_two_beds_of_one_medium_in_series_are_one_bed(n1, n2, progress):
    """Capacity in proportion to transfer units: the front passes on unchanged. Algebra 1e-7 (differences of logs)."""
    fed = progress * (n1 + n2)
    first = closed_form.outlet_fraction(fed=fed, capacity=n1, units=n1)
    between = closed_form.passed(fed=fed, capacity=n1, units=n1)
    series = first * closed_form.outlet_fraction(fed=between, capacity=n2, units=n2)
    whole = closed_form.outlet_fraction(fed=fed, capacity=n1 + n2, units=n1 + n2)
    assert float(series) == pytest.approx(float(whole), rel=1e-6, abs=1e-12)


def _march(layers: list[tuple[float, float]], inlet, end: float, cells: int, steps: int) -> np.ndarray:
    """Outlet concentration over time: dc/dN = −c(1 − θ), dθ/dt = (N/s*) c (1 − θ), by small steps, unit flow."""
    theta = np.zeros(cells * len(layers))
    depth = np.repeat([n / cells for n, _ in layers], cells)
    speed = np.repeat([n / s for n, s in layers], cells)
    dt, out = end / steps, []
    for step in range(steps):
        through = np.exp(-np.cumsum(depth * (1 - theta)))
        middle = np.concatenate([[1.0], through[:-1]]) * np.exp(-0.5 * depth * (1 - theta))
        c = inlet((step + 0.5) * dt) * middle
        out.append(inlet(step * dt) * through[-1])
        theta = 1 - (1 - theta) * np.exp(-speed * c * dt)
    return np.array(out)


@pytest.mark.parametrize("rising", [False, True])
def test_two_unlike_layers_against_a_march(rising):
    """The series rule, with constant and with rising inlet, against the same equations marched in
    400 cells a layer and 12 000 steps; the march is of first order in time (0.5 % at 4000 steps): 0.25 % allowed."""
    (n1, s1), (n2, s2) = (6.0, 0.5), (9.0, 1.5)

    def inlet(t):
        return 1.0 + 0.3 * t if rising else 1.0

    end, steps = 3.0, 12000
    t = np.arange(steps) * end / steps
    fed = t + (0.15 * t**2 if rising else 0.0)
    first = closed_form.outlet_fraction(fed=fed, capacity=s1, units=n1)
    between = closed_form.passed(fed=fed, capacity=s1, units=n1)
    ours = first * closed_form.outlet_fraction(fed=between, capacity=s2, units=n2)
    marched = _march([(n1, s1), (n2, s2)], inlet, end, 400, steps) / np.array([inlet(x) for x in t])
    np.testing.assert_allclose(ours, marched, atol=2.5e-3)
