"""What an impregnation takes up for good, beside what adsorbs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from stillroom.bed import Problem, Scheme, closed_form, simulate
from stillroom.bed.transport import Linear, Packing

C0 = 1e-3
"""mol/m³"""


def reacting(units: float, *, tolerance: float = 1e-4, stock: float = 0.5) -> Problem:
    """One vapour on one layer that takes it up by stoichiometry, to 1.6 times what it can."""
    depth, density, area, flow = 0.05, 500.0, 0.25, 0.05
    end = 1.6 * stock * density * area * depth / (flow * C0)
    rates, stocks = np.array([[units * flow / (area * depth)]]), np.array([[stock]])
    layer = Packing(depth, density, (Linear(np.array([1e-3])),), rates, stocks)
    return Problem(
        vapours=("a",),
        layers=(layer,),
        area=area,
        times=np.array([0.0, end]),
        inlet=np.array([[C0]]),
        flow=np.array([flow]),
        temperature=np.array([295.15]),
        scheme=Scheme(tolerance=tolerance),
    )


def off(problem: Problem, units: float) -> float:
    """The largest difference to the closed form of Bohart and Adams, over the inlet."""
    times = np.linspace(0.0, problem.times[-1], 400)
    curve = simulate(problem, times=times)
    assert curve.mass_balance_error < 1e-10
    exact = closed_form.outlet_fraction(fed=times * 5e-5, capacity=0.5 * 6.25, units=units)
    return float(np.abs(curve.outlet[:, 0] / C0 - exact).max())


@pytest.mark.parametrize("units", [2.0, 12.0, 40.0])
def test_one_vapour_is_bohart_and_adams(units):
    """Bohart & Adams 1920, J. Am. Chem. Soc. 42, 523: a rate in proportion to what is left of the stock."""
    assert off(reacting(units), units) < 2e-3


def test_second_order_in_time():
    """The scheme's own error falls as the square of the steps: by 1/100 where the tolerance is 1/1000."""
    coarse, fine = (reacting(12.0, tolerance=value) for value in (1e-3, 1e-6))
    steps = [simulate(case).steps for case in (coarse, fine)]
    order = np.log(off(coarse, 12.0) / off(fine, 12.0)) / np.log(steps[1] / steps[0])
    assert order == pytest.approx(2.0, abs=0.25)


def test_clean_air_brings_nothing_back_and_no_more_is_taken_than_the_stock():
    case = reacting(12.0)
    there = np.array([0.0, case.times[-1], 2.0 * case.times[-1]])
    course = replace(
        case,
        times=there,
        inlet=np.array([[C0], [0.0]]),
        flow=np.full(2, 0.05),
        temperature=np.full(2, 295.15),
    )
    curve = simulate(course)
    assert curve.outlet[curve.times > there[1], 0].max() == 0.0
    assert curve.held[0] == pytest.approx(0.5 * 6.25, rel=1e-3)
    assert curve.loading.max() <= 0.5 * (1.0 + 1e-4)


def _family(make, **more: object) -> Problem:
    """Two acids that share a stock, beside a vapour that adsorbs; then clean air."""
    case = make(
        [5.0, 4.0, 4.0], [0.02, 0.05, 1.0], [60.0, 40.0, 30.0],
        [(0.0, [500.0, 60.0, 90.0]), (30.0, [0.0, 0.0, 0.0])], until=60.0, families=("", "acid", "acid"), **more,
    )  # fmt: skip
    (layer,) = case.layers
    return replace(case, layers=(replace(layer, stock=np.array([[0.0, 0.4, 0.6]])),))


def test_a_family_against_another_solver(make):
    """The same equations by scipy's BDF on 200 midpoint cells: two vapours with rates of their own and one stock."""
    case = _family(make)
    curve = simulate(case)
    (layer,), cells = case.layers, 200
    stock, rate = layer.stock[0, 1:], layer.rates[0, 1:]
    speed = case.flow[0] / case.area
    mass = layer.bulk_density * layer.depth / cells

    def rise(_t: float, y: np.ndarray) -> np.ndarray:
        left = np.maximum(1.0 - (y.reshape(cells, 2) / stock).sum(axis=1), 0.0)
        half = rate * left[:, None] * layer.depth / cells / speed / 2.0
        passed = np.cumprod((1.0 - half) / (1.0 + half), axis=0)
        gas = case.inlet[0, 1:] * np.vstack([np.ones(2), passed])
        return ((gas[:-1] - gas[1:]) * speed / mass).ravel()

    end = case.times[1]
    found = solve_ivp(rise, (0.0, end), np.zeros(2 * cells), method="BDF", rtol=1e-6, atol=1e-9)
    held = found.y[:, -1].reshape(cells, 2).sum(axis=0) * mass * case.area
    np.testing.assert_allclose(curve.held[1:], held, rtol=2e-3)
    used = (curve.loading[:, 1:] / stock).sum(axis=1)
    assert used.max() <= 1.0 + 1e-4


def test_beside_it_others_adsorb_as_if_it_were_not_there(make):
    both = simulate(_family(make), times=(times := np.linspace(0.0, 60.0 * 3600.0, 300)))
    alone = make([5.0], [0.02], [60.0], [(0.0, [500.0]), (30.0, [0.0])], until=60.0)
    np.testing.assert_allclose(
        both.outlet[:, 0] / alone.inlet.max(),
        simulate(alone, times=times).outlet[:, 0] / alone.inlet.max(),
        atol=2e-3,
    )
    assert both.mass_balance_error < 1e-10


def test_a_layer_of_another_medium_behind_it(make):
    """What adsorbs in one layer may react in the next; a vapour that neither does is passed on whole."""
    case = make([5.0, 4.0], [0.02, 0.05], [60.0, 0.0], [(0.0, [100.0, 20.0])], until=200.0)
    (plain,) = case.layers
    second = Packing(
        0.03, 520.0, plain.laws, np.array([[40.0, 50.0]]), np.array([[0.05, 0.3]])
    )  # takes both for good
    curve = simulate(replace(case, layers=(plain, second)))
    first, behind = curve.position < 0.05, curve.position > 0.05
    assert curve.loading[first, 1].max() == 0.0
    assert curve.loading[behind, 1].max() == pytest.approx(0.3, rel=1e-3)
    assert curve.loading[behind, 0].max() == pytest.approx(0.05, rel=1e-3)
    assert curve.mass_balance_error < 1e-10


def test_what_was_used_before_is_not_there_now():
    """Half the stock gone evenly: half the units and half the amount, as in the closed form for a half-filled bed."""
    case = reacting(12.0)
    curve = simulate(replace(case, start=np.array([[0.25]])))
    exact = closed_form.outlet_fraction(
        fed=curve.times * 5e-5, capacity=0.25 * 6.25, units=6.0
    )  # rate and stock halved alike
    np.testing.assert_allclose(curve.outlet[:, 0] / C0, exact, atol=2e-3)
