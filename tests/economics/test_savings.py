"""A year of either cabinet, against a calculation by hand with the handbook's state points."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from stillroom.economics import Climate, Month, load_case, savings
from stillroom.economics.model import exactly

EXAMPLE = Path("examples/savings/hot-humid.toml")


@pytest.fixture
def case():
    return load_case(EXAMPLE)


def constant(case, *, outdoor: Month, room: tuple[float, float], **plant):
    """The case in a place where every hour is the same, with exact numbers."""
    return replace(
        case,
        flow=5.0,
        climate=Climate((outdoor,) * 12, "one state all year"),
        room=replace(case.room, temperature=exactly(room[0]), relative_humidity=exactly(room[1])),
        plant=replace(case.plant, cooling_cop=exactly(3.0), heating_efficiency=exactly(0.9), **plant),
        prices=replace(case.prices, electricity=exactly(0.5), heat=exactly(0.1)),
    )


def test_cooling_year_by_hand_with_the_handbooks_state_points(case):
    # ASHRAE Handbook—Fundamentals (2009, SI), ch. 1, example 3 (from memory): air of 30 °C, 50 % (h 64.3 kJ/kg, W 0.0133) to
    # saturation at 10 °C (h 29.5, W 0.00766), condensate 42.11 kJ/kg: 34.56 kJ per kg of dry air. Exhausted air of 10 °C,
    # saturated, has 0.8117 m³ per kg of dry air, so that 5 m³/s are 6.16 kg/s; 8760 h at COP 3 and 0.5 a kWh.
    answer = savings(constant(case, outdoor=Month(30.0, 0.5), room=(10.0, 1.0), reheats=False), draws=3)
    by_hand = 5.0 / 0.8117 * (64.3 - 29.5 - (0.0133 - 0.00766) * 42.11) * 8760.0
    assert answer.cooling == pytest.approx(by_hand, rel=0.01)
    assert answer.parts["ducted: cooling make-up air"] == pytest.approx(by_hand / 3.0 * 0.5, rel=0.01)
    assert answer.heating == pytest.approx(0.0, abs=1e-6)


def test_heating_year_by_hand_with_the_handbooks_state_points(case):
    # Example 2 (from memory): saturated air of 2 °C (W 0.00438, h 13.0) heated to 40 °C (h 51.4): 38.4 kJ/kg; at 40 °C with that
    # water a kilogram of dry air fills 0.893 m³.
    answer = savings(constant(case, outdoor=Month(2.0, 1.0), room=(40.0, 0.0949), reheats=False), draws=3)
    by_hand = 5.0 / 0.893 * 38.4 * 8760.0
    assert answer.heating == pytest.approx(by_hand, rel=0.01)
    assert answer.parts["ducted: heating make-up air"] == pytest.approx(by_hand / 0.9 * 0.1, rel=0.01)


def test_the_parts_are_the_sum(case):
    answer = savings(case, draws=200)
    assert sum(answer.parts.values()) == pytest.approx(answer.ducted + answer.filtered)
    assert answer.saved == pytest.approx(answer.ducted - answer.filtered)


@pytest.mark.parametrize(("flow_m3_h", "reheats"), [(400.0, True), (800.0, False)])
def test_a_hot_humid_year_saves_of_the_order_of_ten_thousand(case, flow_m3_h, reheats):
    # Common practice, no source: of the order of 10,000 MYR a cabinet and year in a hot, humid climate. At 0.40–0.60 MYR/kWh and a
    # seasonal COP of 3 that holds for about 400 m³/h where dried air is heated again, and 800 m³/h where it is not.
    answer = savings(replace(case, flow=flow_m3_h / 3600.0, plant=replace(case.plant, reheats=reheats)))
    assert 7_000.0 < np.median(answer.saved) < 14_000.0


def test_a_small_cabinet_saves_little_and_can_lose(case):
    # 100 m³/h: the filters and visits cost more than the air.
    small = replace(case, flow=100.0 / 3600.0, plant=replace(case.plant, reheats=False))
    assert np.median(savings(small).saved) < 1_000.0


def test_recovery_gives_back_its_share(case):
    none = savings(case, draws=50)
    half = savings(replace(case, plant=replace(case.plant, recovery=exactly(0.5))), draws=50)
    assert half.cooling == pytest.approx(none.cooling * 0.5)


def test_same_seed_same_numbers(case):
    assert np.array_equal(savings(case, seed=4).saved, savings(case, seed=4).saved)
    assert not np.array_equal(savings(case, seed=4).saved, savings(case, seed=5).saved)
