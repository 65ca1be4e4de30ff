"""A drawn stack: balances, order, families, spills, and what practitioners see."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stillroom import bed, media
from stillroom.sources import Missing

DAY = 86400.0


def test_toluene_from_room_air_lasts_of_the_order_of_a_year(draw):
    """Common practice, no source: 8 kg of coconut carbon, 200 m³/h, 0.3 mg/m³. “Of the order”: 0.3 to 3 years."""
    stack = draw("toluene")
    life = stack.time_to(0.1, np.full((1, 400), 0.3e-3 / 92.14))
    assert 0.3 < np.median(life) / (365 * DAY) < 3.0


def test_loadings_of_common_vapours(draw, ppm):
    """Common practice and arithmetic, no source: toluene 0.3 g/g at 1000 ppm and a few per cent at 0.1 ppm, acetone
    1e-4 to 1e-3 at 0.1 ppm, methanol hardly held there (under 1e-4)."""
    stack = draw("toluene", "acetone", "methanol", relative_humidity=0.0)

    def grams(value):
        q = stack.layers[0].physisorbed_alone(stack.arrays, stack.air, np.full((3, 400), value * ppm))
        return np.median(q * stack.arrays.molar_mass, axis=1)

    assert 0.25 < grams(1000.0)[0] < 0.40
    toluene, acetone, methanol = grams(0.1)
    assert 0.02 < toluene < 0.10
    assert 1e-4 < acetone < 1e-3
    assert methanol < 1e-4


def test_held_and_passed_are_what_was_fed(draw, ppm):
    """Balance over bed, by-pass and seal at a hundred times: exhaust by trapezia over 2000 steps, 0.1 %."""
    stack = draw("toluene", "benzene", beds=(("coconut", 2.0), ("coal", 2.0)), size=20)
    inlet = np.full((2, 20), 5.0 * ppm)
    times = np.linspace(0.0, 60 * DAY, 2001)
    fed = inlet * (200.0 / 3600.0) * times[-1]
    out = stack.exhaust(times, inlet)
    gone = np.trapezoid(out, times, axis=0) * (200.0 / 3600.0)
    held = stack.held(times[-1:], inlet)[0]
    np.testing.assert_allclose(held + gone, fed, rtol=1e-3)


@settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(level=st.floats(1e-3, 2e3), more=st.floats(1.05, 20.0), fraction=st.floats(0.1, 0.9))
def test_order_of_lives_and_exhausts(draw, ppm, level, more, fraction):
    """One vapour: exhaust grows with time and never passes the inlet; life falls with the inlet, grows with mass.
    A vapour held in proportion to its concentration keeps its life, so “falls” allows rounding, 1e-9. The bed
    must be three times its critical depth: in a shorter one the rate, which grows with the loading, can outweigh the rest."""
    small, large = (draw("toluene", beds=(("coconut", mass),), size=50) for mass in (12.0, 12.0 * more))
    inlet = np.full((1, 50), level * ppm)
    out = small.exhaust(np.linspace(0.0, 400 * DAY, 30), inlet)
    assert np.all(np.diff(out, axis=0) >= -1e-12 * inlet)
    assert np.all(out <= inlet * (1 + 1e-12))
    life = small.time_to(fraction, inlet)
    deep = small._uptakes(inlet)[0].units > np.maximum(3.0 * np.log(1.0 / fraction), 3.0)
    assert np.all((small.time_to(fraction, inlet * more) <= life * (1 + 1e-9))[deep])
    assert np.all(large.time_to(fraction, inlet) >= life * (1 - 1e-9))
    assert np.all(small.time_to(min(0.95, fraction + 0.04), inlet) >= life)


def test_time_to_is_when_the_exhaust_gets_there(draw, ppm):
    """Two unlike layers: to 1e-6 of the inlet."""
    stack = draw("toluene", beds=(("coconut", 3.0), ("coal", 2.0)), size=6)
    inlet = np.full((1, 6), 50.0 * ppm)
    life = stack.time_to(0.05, inlet)
    for k in range(6):
        out = stack.exhaust(life[0, [k]], inlet)[0, 0, k]
        assert out / inlet[0, k] == pytest.approx(0.05, abs=1e-6)


@pytest.mark.parametrize("fraction", [1e-4, 0.01, 0.5, 0.99, 0.9999])
@pytest.mark.parametrize("level", [1e-4, 0.1, 300.0])
def test_time_to_stands_where_the_exhaust_crosses(draw, ppm, fraction, level):
    """Strong and weak vapours, early and late, three beds: a millionth before it is less, a millionth after it is more."""
    stack = draw(
        "toluene", "acetone", "methanol", beds=(("coconut", 3.0), ("coal", 2.0), ("coconut", 1.0)), size=20
    )
    inlet = np.full((3, 20), level * ppm)
    life = stack.time_to(fraction, inlet)
    for v, k in np.argwhere(np.isfinite(life) & (life > 0.0)):
        before, after = (
            stack.exhaust(life[v, k] * np.array([1 - 1e-6, 1 + 1e-6]), inlet)[:, v, k] / inlet[v, k]
        )
        assert before <= fraction <= after
    assert np.isfinite(life).all()


def test_bypass_is_the_least_exhaust(draw, ppm):
    """exhaust ≥ b · inlet from the first second, and below the by-pass there is no life."""
    stack = draw("toluene")
    inlet = np.full((1, 400), ppm)
    assert np.all(stack.exhaust([0.0], inlet)[0] >= stack.bypass * inlet)
    assert np.all(stack.time_to(stack.bypass[None, :] * 0.5, inlet) == 0.0)
    assert np.all(np.isinf(stack.time_to(1.0, inlet)))


def test_plain_carbon_does_not_hold_a_family(draw, ppm):
    """Hydrogen chloride or ammonia on plain carbon: exhaust = inlet, whatever its D–R loading would say."""
    stack = draw("hydrogen chloride:acid gas", "ammonia:ammonia")
    inlet = np.full((2, 400), 0.1 * ppm)
    np.testing.assert_allclose(
        stack.exhaust([0.0, DAY], inlet), np.broadcast_to(inlet, (2, 2, 400)), rtol=1e-9
    )
    assert np.all(stack.time_to(0.5, inlet) == 0.0)
    assert np.all(stack.held([DAY], inlet) < 1e-12)


def test_an_impregnated_bed_holds_its_family_by_moles(draw, ppm):
    """Stoichiometry: capacity of the bed over feed; the alkali bed does nothing for ammonia."""
    beds = (("coconut", 6.0), ("impregnated-acid-gas", 4.0))
    stack = draw("hydrogen chloride:acid gas", "ammonia:ammonia", "toluene", beds=beds)
    inlet = np.full((3, 400), 0.1 * ppm)
    life = stack.time_to(0.5, inlet)
    medium = media.load("impregnated-acid-gas")
    expected = medium.impregnations[0].capacity.p50 / 64.06 * 4000.0 / (0.1 * ppm * 200.0 / 3600.0)
    assert np.median(life[0]) == pytest.approx(expected, rel=0.15)  # median of 400 draws of a wide interval
    assert np.all(life[1] == 0.0)
    assert np.median(life[2]) > np.median(draw("toluene", beds=beds[:1]).time_to(0.5, inlet[:1]))


def test_members_of_a_family_use_up_one_stock(draw, ppm):
    """Two equal acid gases: each has half the life that it has alone (irreversible, by moles)."""
    beds = (("impregnated-acid-gas", 4.0),)
    inlet = np.full((2, 400), 0.1 * ppm)
    both = draw("hydrogen chloride:acid gas", "sulphur dioxide:acid gas", beds=beds).held([1e12], inlet)[0]
    one = draw("hydrogen chloride:acid gas", beds=beds).held([1e12], inlet[:1])[0]
    np.testing.assert_allclose(both.sum(axis=0), one[0], rtol=1e-6)
    np.testing.assert_allclose(both[0], both[1], rtol=1e-6)


def test_a_vapour_with_unknown_properties_is_not_held_and_says_so(draw, ppm):
    """Unknown never approves."""
    known = draw("toluene").vapours[0]
    unknown = bed.Vapour(dataclasses.replace(known.properties, molar_polarisability=Missing("no source")))
    stack = media.FilterStack(
        None, (media.Bed(media.load("coconut"), 8.0, 0.25),), media.default_seal_bypass()
    )
    drawn = bed.Stack.draw(
        stack,
        [unknown],
        flow=0.05,
        temperature=295.15,
        pressure=101325.0,
        relative_humidity=0.4,
        rng=np.random.default_rng(1),
        size=10,
    )
    assert "no source" in drawn.missing["toluene"]
    inlet = np.full((1, 10), ppm)
    np.testing.assert_allclose(drawn.exhaust([0.0], inlet)[0], inlet, rtol=1e-9)
    spill = drawn.spill_exhaust([0.0], inlet, inlet * 100, 600.0)
    np.testing.assert_allclose(spill.peak[0], inlet * 100, rtol=1e-9)


def test_no_bed_no_filter(draw, ppm):
    stack = draw("toluene", beds=())
    inlet = np.full((1, 400), ppm)
    np.testing.assert_allclose(stack.exhaust([DAY], inlet)[0], inlet)
    assert np.all(stack.time_to(0.5, inlet) == 0.0)
    assert np.all(stack.held([DAY], inlet) == 0.0)


def test_humid_air_shortens_life(draw, ppm):
    """OSHA after AIHA ch. 36: above 85 % relative humidity life is about halved; 0.25 to 0.75 allowed."""
    inlet = np.full((1, 400), 100 * ppm)
    dry, wet = (np.median(draw("toluene", relative_humidity=h).time_to(0.1, inlet)) for h in (0.3, 0.88))
    assert 0.25 < wet / dry < 0.75


def test_light_vapour_behind_heavy_background_lasts_less_than_alone(draw, ppm):
    """Common practice, no source. And its front still runs ahead of the heavy one's."""
    alone = draw("benzene").time_to(0.5, np.full((1, 400), 0.01 * ppm))
    inlet = np.vstack([np.full((1, 400), 0.01 * ppm), np.full((1, 400), 1.0 * ppm)])
    both = draw("benzene", "decane").time_to(0.5, inlet)
    assert np.median(both[0]) < 0.8 * np.median(alone[0])
    assert np.median(both[0]) < np.median(both[1])


def test_a_spill_on_an_old_filter_is_never_better_than_on_a_new_one(draw, ppm):
    """The design spill at every age, ten minutes of acetone at 3000 ppm and toluene at 1000 ppm."""
    stack = draw("acetone", "toluene", "decane")
    normal = np.full((3, 400), 0.2 * ppm)
    spilled = np.array([[3000.0], [1000.0], [100.0]]) * ppm * np.ones(400)
    ages = np.linspace(0.0, 900 * DAY, 12)
    result = stack.spill_exhaust(ages, normal, spilled, 600.0)
    assert result.peak.shape == result.mean.shape == (12, 3, 400)
    assert np.all(np.diff(result.peak, axis=0) >= -1e-9 * spilled)
    assert np.all(result.mean <= result.peak * (1 + 1e-9))
    assert np.all(result.peak <= spilled * (1 + 1e-9))
    fresh = np.median(result.peak[0] / spilled, axis=1)
    assert np.all(
        fresh < 0.02
    )  # a new 8 kg bed takes ten minutes of any of them: 0.13 kg of acetone on 0.8 kg
    assert np.median(result.peak[-1, 0] / spilled[0]) > 10 * fresh[0]  # years of decane have taken the pores


def test_spill_of_methanol_passes_soon(draw, ppm):
    """Common practice, no source: methanol is hardly held; at 2000 ppm an 8 kg bed is full within an hour."""
    stack = draw("methanol")
    spilled = np.full((1, 400), 2000.0 * ppm)
    result = stack.spill_exhaust([0.0], spilled * 0.0, spilled, 3600.0)
    assert np.median(result.peak / spilled) > 0.5


def test_same_seed_same_stack(draw):
    one, two = draw("toluene", "acetone"), draw("toluene", "acetone")
    np.testing.assert_array_equal(one.layers[0].energy, two.layers[0].energy)
    np.testing.assert_array_equal(one.bypass, two.bypass)
