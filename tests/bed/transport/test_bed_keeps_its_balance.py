"""What holds of any bed: nothing is lost, nothing is below nothing, layers and draws are what they are called."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.bed import Problem, Scheme, simulate, simulate_draws
from stillroom.bed.transport import Langmuir, Linear, Packing
from stillroom.media import tables

RT = 8.31446261815324 * 295.15


def test_what_is_fed_has_left_or_is_held(three):
    curve = simulate(three())
    assert curve.mass_balance_error < 1e-10
    np.testing.assert_allclose(curve.fed, curve.left + curve.held, rtol=1e-10)
    # fed, by hand: 200 h at 500, 200, 100 ppm and 0.05 m³/s
    np.testing.assert_allclose(curve.fed, np.array([500, 200, 100]) * 1e-6 * 101325 / RT * 0.05 * 200 * 3600)
    # and the curve that is shown carries what has left
    trapezoid = np.trapezoid(curve.outlet, curve.times, axis=0) * 0.05
    np.testing.assert_allclose(trapezoid, curve.left, rtol=1e-3)


def test_a_light_vapour_is_pushed_out_by_a_heavy_one(make):
    """Roll-up: its outlet passes its inlet; what comes out too much was held before, and its balance closes."""
    case = make([4.0, 4.0], [0.1, 3.0], [50.0, 50.0], [(0.0, [300.0, 300.0])], until=200.0)
    curve = simulate(case)
    ratio = curve.outlet / case.inlet[0]
    assert ratio[:, 0].max() > 1.5
    assert ratio[:, 1].max() <= 1.0 + 1e-3
    assert curve.held[0] < 0.05 * curve.held[1]
    assert curve.mass_balance_error < 1e-10


def test_a_bed_in_two_halves_is_one_bed(make):
    pieces = [(0.0, [500.0, 100.0]), (60.0, [0.0, 0.0])]
    laws = ([4.0, 4.0], [0.01, 0.3], [50.0, 40.0])
    whole = simulate(make(*laws, pieces, until=120.0, scheme=Scheme(cells=(80,))))
    halves = simulate(make(*laws, pieces, until=120.0, depths=(0.025, 0.025), scheme=Scheme(cells=(40, 40))))
    # the first cell of a layer knows no slope: one cell's error of second order
    inlet = np.array([500.0, 100.0])
    np.testing.assert_allclose(halves.outlet_ppm / inlet, whole.outlet_ppm / inlet, atol=1e-3)


def test_tables_give_what_langmuirs_law_gives(three):
    """With one capacity for all, ideal adsorbed solution theory is Langmuir's law for mixtures."""
    case = three(scheme=Scheme(cells=(30,)))
    limit, affinity = np.full(3, 4.0), np.array([0.002, 0.05, 1.0])
    told = tables.stack(
        *(tables.langmuir(limit=np.array([[4.0]]), affinity=np.array([[b]])) for b in affinity)
    )
    (layer,) = case.layers
    times = np.linspace(0.0, 400.0 * 3600.0, 801)
    one, other = (
        simulate(replace(case, layers=(replace(layer, laws=(law,)),)), times=times)
        for law in (Langmuir(limit, affinity), told)
    )
    np.testing.assert_allclose(other.outlet / case.inlet.max(0), one.outlet / case.inlet.max(0), atol=1e-4)
    assert other.mass_balance_error < 1e-10


def test_layers_of_different_laws(make):
    case = make([4.0, 4.0], [0.01, 0.3], [50.0, 40.0], [(0.0, [500.0, 100.0])], until=150.0)
    (layer,) = case.layers
    second = Packing(0.03, 520.0, (Linear(np.array([0.02, 0.05])),), np.array([[80.0, 80.0]]))
    dr = tables.dubinin_astakhov(
        saturation_pressure=[[27000.0], [3200.0]],
        energy=[[1.3e4], [2.3e4]],
        limit=[[6.0], [4.5]],
        temperature=295.15,
    )
    third = Packing(0.02, 480.0, (dr,), np.array([[50.0, 40.0]]))
    curve = simulate(replace(case, layers=(layer, second, third)))
    assert curve.mass_balance_error < 1e-10
    alone = simulate(case)
    for cas in curve.vapours:
        assert curve.breakthrough_h[cas][0.1] > alone.breakthrough_h[cas][0.1]


def test_warm_air_drives_off(make):
    """A law that changes with the state of the air: what was held at one temperature comes out at another."""
    case = make([], [0.02], [50.0], [(0.0, [100.0]), (10.0, [100.0])], until=20.0, linear=True)
    (layer,) = case.layers
    warm = replace(
        layer, laws=(Linear(np.array([0.02])), Linear(np.array([0.01]))), rates=np.array([[50.0], [50.0]])
    )
    curve = simulate(replace(case, layers=(warm,), state=(0, 1), temperature=np.array([295.15, 310.15])))
    assert curve.outlet[curve.times > 10.0 * 3600.0, 0].max() > 1.5 * case.inlet.max()
    assert curve.mass_balance_error < 1e-10


def test_draws_are_so_many_single_beds(three):
    case = three(scheme=Scheme(cells=(20,), tolerance=1e-3))
    (layer,) = case.layers
    law = layer.laws[0]
    factor = np.array([1.0, 0.8, 1.3])
    many = replace(
        case,
        layers=(
            replace(
                layer, laws=(Langmuir(law.limit[:, None] * factor, law.affinity),), bulk_density=480 * factor
            ),
        ),
        inlet=case.inlet[:, :, None] * factor,
    )
    times = np.linspace(0.0, 400.0 * 3600.0, 50)
    found = simulate_draws(many, times)
    for draw, by in enumerate(factor):
        one = replace(
            case,
            layers=(replace(layer, laws=(Langmuir(law.limit * by, law.affinity),), bulk_density=480 * by),),
            inlet=case.inlet * by,
        )
        np.testing.assert_allclose(
            found.outlet[..., draw], simulate(one, times=times).outlet, rtol=1e-12, atol=1e-300
        )
    shared = simulate_draws(many, times, threads=2)
    np.testing.assert_array_equal(shared.outlet, found.outlet)
    assert found.mass_balance_error.max() < 1e-10


def test_a_bed_that_was_loaded_before(make):
    case = make([4.0], [0.05], [50.0], [(0.0, [0.0])], until=100.0, start=np.array([[1.0]]))
    curve = simulate(case)
    assert curve.held[0] < 0.0
    assert curve.left[0] == pytest.approx(-curve.held[0], rel=1e-10)
    assert curve.breakthrough_h["vapour 1"] == {0.01: None, 0.1: None}  # no inlet to compare with


@pytest.mark.parametrize(("affinity", "rate"), [(1e3, 300.0), (10.0, 1e5), (1e-9, 50.0), (0.05, 1e-6)])
def test_laws_and_rates_far_from_any_carbon(make, affinity, rate):
    """Nearly irreversible; at equilibrium in each cell; hardly held; hardly taken up."""
    case = make([4.0], [affinity], [rate], [(0.0, [1000.0]), (50.0, [0.0])], until=100.0)
    curve = simulate(replace(case, scheme=Scheme(cells=(30,))))
    assert curve.mass_balance_error < 1e-10
    assert curve.loading.min() >= 0.0
    assert curve.outlet.min() >= 0.0
    assert curve.outlet.max() <= case.inlet.max() * (1.0 + 1e-2)


@st.composite
def beds(draw: st.DrawFn) -> Problem:
    """Any vapours, layers, laws and inlets within the decades of carbons and cabinets."""
    count = draw(st.integers(1, 3))
    number = draw(st.integers(1, 2))

    def powers(least: float, most: float) -> np.ndarray:
        return 10.0 ** np.array([draw(st.floats(least, most)) for _ in range(count)])

    def law() -> Langmuir | Linear:
        return Linear(powers(-5, 0)) if draw(st.booleans()) else Langmuir(powers(-1, 1), powers(-5, 1))

    def stock() -> np.ndarray | None:
        if draw(st.booleans()):
            return None
        return np.array([[draw(st.sampled_from([0.0, 1e-3, 1.0])) for _ in range(count)]])

    pieces = draw(st.integers(1, 3))
    shown = [[draw(st.sampled_from([0.0, 1e-6, 1e-3, 0.04])) for _ in range(count)] for _ in range(pieces)]
    hours = np.cumsum([0.0, *(draw(st.floats(0.01, 300.0)) for _ in range(pieces))])
    return Problem(
        vapours=tuple("abc"[:count]),
        layers=tuple(
            Packing(draw(st.floats(0.005, 0.1)), 480.0, (law(),), powers(-1, 3)[None], stock())
            for _ in range(number)
        ),
        area=0.25,
        times=3600.0 * hours,
        inlet=np.array(shown),
        flow=np.array([draw(st.floats(0.005, 0.2)) for _ in range(pieces)]),
        temperature=np.full(pieces, 295.15),
        families=draw(st.sampled_from([(), ("acid",) * count])),
        scheme=Scheme(cells=(12,) * number, tolerance=1e-3),
    )


@settings(max_examples=100, deadline=None)
@given(beds())
def test_any_bed_keeps_its_balance_and_stays_above_nothing(problem):
    curve = simulate(problem)
    assert curve.mass_balance_error < 1e-10
    assert curve.loading.min() >= 0.0
    assert curve.outlet.min() >= 0.0
    assert np.isfinite(curve.outlet).all()


def test_a_curve_has_points_where_it_bends(make):
    """Breakthrough within a two-thousandth of the run: between the curve's points a straight line is good enough."""
    case = make([4.0], [0.05], [50.0], [(0.0, [500.0]), (2e5, [0.0])], until=4e5)
    curve = simulate(case)
    fine = (
        np.unique(np.concatenate([np.linspace(0.0, 400.0, 3000), 2e5 + np.linspace(0.1, 4000.0, 3000)]))
        * 3600.0
    )
    there = simulate(case, times=fine).outlet[:, 0]
    shown = np.interp(fine, curve.times, curve.outlet[:, 0])
    assert np.abs(shown - there).max() < 3e-3 * case.inlet.max()
    assert (np.diff(curve.times) > 0.0).all()
    assert curve.times.size < 4000


def test_next_to_nothing_is_nothing(make):
    """Parts per trillion into a thousand transfer units: loadings that a double can hardly tell from none."""
    case = make([4.0], [0.05], [50.0], [(0.0, [0.0002])], until=3.0)
    dr = tables.dubinin_astakhov(
        saturation_pressure=[[2.7e4]], energy=[[1.3e4]], limit=[[6.0]], temperature=295.15
    )
    layers = tuple(Packing(0.05, 480.0, (dr,), np.array([[4000.0]])) for _ in range(2))
    curve = simulate(replace(case, layers=layers))
    assert curve.mass_balance_error < 1e-10
    assert np.isfinite(curve.outlet).all()
