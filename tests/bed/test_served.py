"""A filter's history: what it was fed with before counts in each of its clocks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stillroom.bed.transport import Packing, Problem, simulate
from stillroom.media import tables
from stillroom.media.model import Served

DAY, SIZE = 86400.0, 60
MG = 1e-3 / 92.14  # mol/m³ of toluene in one mg/m³


def inlet(*mg_m3: float) -> np.ndarray:
    return np.array([[value * MG] * SIZE for value in mg_m3])


def test_a_past_like_the_present_is_no_past(draw):
    fresh = draw("toluene", size=SIZE)
    used = draw("toluene", size=SIZE, served=[Served(100.0, (("toluene", 2.0),), 1.0)])
    now = inlet(2.0)
    np.testing.assert_allclose(used.time_to(0.1, now), fresh.time_to(0.1, now), rtol=1e-9)
    ages = np.array([0.0, 50.0, 100.0, 400.0]) * DAY
    np.testing.assert_allclose(used.exhaust(ages, now), fresh.exhaust(ages, now), rtol=1e-9, atol=1e-300)
    np.testing.assert_allclose(used.held(ages, now), fresh.held(ages, now), rtol=1e-9)


def test_a_dirtier_past_leaves_less_and_a_cleaner_one_never_more_than_a_fresh_filters(draw):
    now = inlet(2.0)
    life = {
        before: np.median(
            draw("toluene", size=SIZE, served=[Served(60.0, (("toluene", before),), 1.0)]).time_to(0.1, now)
        )
        for before in (0.0, 1.0, 2.0, 4.0, 8.0)
    }
    fresh = np.median(draw("toluene", size=SIZE).time_to(0.1, now))
    assert life[8.0] < life[4.0] < life[2.0] == pytest.approx(fresh)
    # nothing came for 60 days: its life ends at most 60 days later
    assert life[2.0] < life[1.0] < life[0.0] <= fresh + 60 * DAY * (1 + 1e-9)


def test_periods_are_fed_one_after_the_other_in_any_order(draw):
    parts = [Served(30.0, (("toluene", 6.0),), 1.0), Served(60.0, (("toluene", 1.5),), 1.0)]
    whole = [Served(90.0, (("toluene", 3.0),), 1.0)]
    lives = [
        draw("toluene", size=SIZE, served=served).time_to(0.1, inlet(1.0))
        for served in (parts, parts[::-1], whole)
    ]
    np.testing.assert_allclose(lives[0], lives[1], rtol=1e-12)
    np.testing.assert_allclose(lives[0], lives[2], rtol=1e-9)


def test_what_is_not_named_came_as_it_comes_now(draw):
    now = inlet(1.0, 3.0)
    told = [Served(60.0, (("toluene", 4.0),), 1.0)]
    used = draw("toluene", "benzene", size=SIZE, served=told)
    age = np.full((2, SIZE), 60.0 * DAY)
    np.testing.assert_allclose(used._fed(age, now) / (age * used.air.flow), inlet(4.0, 3.0))
    halves = draw("toluene", "benzene", size=SIZE, served=[*told, Served(60.0, (("benzene", 1.0),), 1.0)])
    later = np.full((2, SIZE), 120.0 * DAY)
    mass = 78.11 / 92.14  # of benzene over that of toluene, by which `inlet` counts
    np.testing.assert_allclose(
        halves._fed(later, now) / (later * halves.air.flow),
        inlet(2.5, 1.5 + 0.5 / mass),
        rtol=1e-6,
    )


def test_amount_at_an_age_and_age_at_an_amount_undo_each_other(draw):
    used = draw(
        "toluene", "benzene", size=SIZE, served=[Served(60.0, (("toluene", 4.0), ("benzene", 0.0)), 1.5)]
    )
    now = inlet(1.0, 3.0)
    for days in (1.0, 59.0, 61.0, 500.0):
        age = np.full((2, SIZE), days * DAY)
        fed = used._fed(age, now)
        found = used._age(fed, now)
        # benzene did not come at first: any age up to then has its amount, none
        expected = np.where(fed > 0.0, age, 0.0)
        np.testing.assert_allclose(found, expected, rtol=1e-9)


def test_what_is_gone_from_store_still_fills_pores(draw):
    """Decane came for 120 days and comes no more: toluene finds less room, and so does a spill; its own exhaust is none."""
    past = [Served(120.0, (("decane", 60.0), ("toluene", 0.0)), 1.0)]
    fresh, used = (
        draw("toluene", "decane", size=SIZE, beds=(("coconut", 4.0),), served=served) for served in ((), past)
    )
    now = inlet(2.0, 0.0)
    since = used.time_to(0.1, now)[0] - 120.0 * DAY  # toluene came first then
    assert np.median(since) < 0.9 * np.median(fresh.time_to(0.1, now)[0])
    assert np.isinf(used.time_to(0.1, now)[1]).all()
    ages, spill = np.array([0.0, 120.0]) * DAY, inlet(20.0, 0.0)
    empty, full = used.spill_exhaust(ages, now, spill, 5.0 * DAY).mean[:, 0]
    assert np.median(empty) < 0.1 * spill[0, 0] < 0.9 * spill[0, 0] < np.median(full)
    held = used.held(np.array([120.0 * DAY, 400.0 * DAY]), now)[:, 1]
    np.testing.assert_allclose(held[1], held[0], rtol=1e-9)  # none comes, and none is said to go


def test_beside_the_numerical_bed(draw):
    """40 days at five times the concentration of now, then on: the equations themselves bring a tenth of the present inlet no
    sooner than the closed form does, and not much later. One draw, one rate, no by-pass, no water."""
    past = [Served(40.0, (("toluene", 10.0),), 1.0)]
    stack = draw("toluene", size=1, beds=(("coconut", 4.0),), relative_humidity=0.0, served=past)
    stack = replace(stack, bypass=np.zeros(1))
    layer, arrays, now = stack.layers[0], stack.arrays, np.array([[2.0 * MG]])
    before = stack.time_to(0.1, now)[0, 0]
    loading = layer.physisorbed_alone(arrays, stack.air, 5.0 * now)
    rate, _ = layer.rates(arrays, stack.air, loading * arrays.molar_mass)
    law = tables.stack(
        tables.dubinin_astakhov(
            saturation_pressure=arrays.saturation_pressure,
            energy=layer.energy,
            limit=layer.pore_volume / arrays.molar_volume * 1e3,
            temperature=stack.air.temperature,
        )
    )
    density = float(layer.bulk_density[0])
    whole = Problem(
        vapours=("toluene",),
        layers=(Packing(layer.mass / density / layer.area, density, (law,), rate[:, 0][None]),),
        area=layer.area,
        times=np.array([0.0, 40.0, 4000.0]) * DAY,
        inlet=np.array([5.0 * now[0], now[0]]),
        flow=np.full(2, float(stack.air.flow[0])),
        temperature=np.full(2, stack.air.temperature),
        fractions=(0.02,),  # of the largest inlet: a tenth of the present one
    )
    found = simulate(whole).breakthrough_h["toluene"][0.02]
    assert found is not None
    assert 0.6 < before / (found * 3600.0) < 1.05
