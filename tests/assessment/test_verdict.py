"""What every verdict owes: unknown never approves, the same seed gives the same answer, the index is the law's."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assessment.invented import LITRE, answer, bottle, cabinet, inventory, room, substance, unlabelled
from stillroom.assessment import assess
from stillroom.assessment.case import gather
from stillroom.assessment.checks.normal import normal_storage
from stillroom.assessment.result import SEVERITY
from stillroom.assessment.vapours import AirFlow, release
from stillroom.errors import InputError
from stillroom.inventory.model import Component
from stillroom.units import GAS_CONSTANT, Quantity

KNOWN = ("108-88-3", "67-64-1", "67-56-1", "141-78-6", "7647-14-5", "1333-74-0")


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    rows=st.lists(
        st.tuples(st.sampled_from(KNOWN), st.sampled_from((0.1, 1.0, 2.5))),
        max_size=4,
        unique_by=lambda r: r[0],
    ),
    place=st.integers(0, 4),
    count=st.integers(1, 3),
)
def test_an_unknown_container_never_improves_the_verdict(
    rows: list[tuple[str, float]], place: int, count: int
) -> None:
    """House rule: unknown never approves. Nor does it soften the answer for what stands beside it."""
    known = [
        bottle(n, cas, size * (1.0 if cas == "7647-14-5" else LITRE), state=_state(cas))
        for n, (cas, size) in enumerate(rows, 2)
    ]
    mixed = [*known]
    mixed.insert(min(place, len(mixed)), unlabelled(99, count))
    after = answer(*mixed)
    assert after.verdict == "not approved"
    assert after.container_verdicts["r99"] == "not approved"
    assert not any(one.container == "r99" for one in after.plan.placed)
    if known:
        before = answer(*known)
        assert SEVERITY.index(after.verdict) >= SEVERITY.index(before.verdict)
        for item in known:
            assert SEVERITY.index(after.container_verdicts[item.key]) >= SEVERITY.index(
                before.container_verdicts[item.key]
            )


def _state(cas: str):
    return {"7647-14-5": "solid", "1333-74-0": "gas"}.get(cas, "liquid")


def test_a_part_that_nobody_knows_refuses_the_whole_bottle() -> None:
    toluene = replace(bottle(2, "108-88-3", LITRE), unknown_reason="half the label is gone")
    assert answer(toluene).container_verdicts == {"r2": "not approved"}


def test_the_same_seed_gives_the_same_answer_and_another_does_not() -> None:
    rows = (bottle(2, "71-43-2", LITRE), bottle(3, "60-29-7", LITRE), bottle(4, "67-56-1", LITRE))
    first, second, other = answer(*rows, seed=3), answer(*rows, seed=3), answer(*rows, seed=4)
    assert first.verdict == second.verdict and first.plan == second.plan
    assert np.array_equal(first.life, second.life)
    assert np.array_equal(first.normal.fraction, second.normal.fraction)
    assert all(
        np.array_equal(one.days, two.days) for one, two in zip(first.clocks, second.clocks, strict=True)
    )
    assert not np.array_equal(first.normal.fraction, other.normal.fraction)


@pytest.mark.parametrize("draws", [0, 99, 20_001, -5])
def test_absurd_numbers_of_draws_are_refused(draws: int) -> None:
    with pytest.raises(InputError, match="draws"):
        assess(inventory(bottle(2, "108-88-3", LITRE)), cabinet(), room(), draws=draws)


def test_an_empty_inventory_is_refused() -> None:
    with pytest.raises(InputError, match="no container"):
        assess(inventory(), cabinet(), room())


@pytest.mark.parametrize(
    ("change", "column"),
    [
        ({"amount": Quantity(float("nan"), "volume")}, "amount"),
        ({"amount": Quantity(float("inf"), "volume")}, "amount"),
        ({"amount": Quantity(0.0, "volume")}, "amount"),
        ({"amount": Quantity(-1e-3, "volume")}, "amount"),
        ({"count": 0}, "count"),
        ({"opened_per_week": float("nan")}, "opened_per_week"),
        ({"components": (Component(substance("108-88-3"), float("nan")),)}, "concentration"),
        ({"components": (Component(substance("108-88-3"), 37.0),)}, "concentration"),
    ],
)
def test_an_impossible_container_is_never_computed_with(change: dict[str, object], column: str) -> None:
    """NaN compares as false with every limit, so it would pass each check."""
    containers = (bottle(2, "67-64-1", LITRE), replace(bottle(7, "108-88-3", LITRE), **change))
    with pytest.raises(InputError) as caught:
        assess(inventory(*containers), cabinet(), room(), draws=100)
    assert [(problem.row, problem.column) for problem in caught.value.problems] == [(7, column)]


def test_the_order_of_the_rows_does_not_matter() -> None:
    """Draws differ from row to row, so only answers far from an edge are compared."""
    rows = [("108-88-3", 2.5), ("67-56-1", 2.5), ("1333-74-0", 10.0), ("7647-14-5", 500.0)]
    found = []
    for some in (rows, rows[::-1]):
        result = answer(
            *(bottle(n, cas, size * LITRE, state=_state(cas)) for n, (cas, size) in enumerate(some, 2))
        )
        found.append({item.subject.cas: item.verdict for item in result.subjects})
    assert found[0] == found[1]


def test_a_room_over_its_limit_is_warned_of() -> None:
    """Toluene: 100 ppm (NIOSH) are 377 mg/m³ at 25 °C (Pocket Guide: 1 ppm = 3.77 mg/m³)."""

    def warned(mg_m3: float) -> tuple[str, ...]:
        background = [{"cas": "108-88-3", "mg_m3": mg_m3}]
        place = room(background=background, limits={"lists": ["niosh-rel"]})
        return answer(bottle(2, "67-56-1", LITRE), place=place).warnings

    assert warned(350.0) == ()
    (words,) = warned(400.0)
    assert "108-88-3" in words and "100 ppm" in words


def test_four_clocks_and_the_earliest_counts() -> None:
    result = answer(bottle(2, "67-56-1", LITRE), bottle(3, "71-43-2", LITRE))
    assert [clock.name for clock in result.clocks] == ["limit", "reserve", "saturation", "age"]
    assert np.array_equal(result.life, np.min([clock.days for clock in result.clocks], axis=0))
    for clock in result.clocks:
        assert not np.isnan(clock.days).any() and (clock.days >= 0).all()


class _NoFilter:
    """A stack that holds nothing."""

    def exhaust(self, times: np.ndarray, inlet: np.ndarray) -> np.ndarray:
        return np.broadcast_to(inlet, (len(times), *inlet.shape))


def test_the_law_s_own_mixture() -> None:
    """29 CFR 1910.1000(d)(2)(ii): 500, 45 and 40 ppm with limits of 1000, 200 and 200 ppm make 0.925.

    Acetone (Table Z-1, 1000 ppm), 2-butanone (Table Z-1, 200 ppm) and toluene (Table Z-2, 200 ppm) have these limits.
    """
    ppm = {"67-64-1": 500.0, "78-93-3": 45.0, "108-88-3": 40.0}
    place = room(background=[], limits={"lists": ["osha-z1", "osha-z2"], "ordering": "strictest"})
    case = gather(
        inventory(*(bottle(n, cas, LITRE) for n, cas in enumerate(ppm, 2))), cabinet(), place, draws=100
    )
    vapours = release(case, np.random.default_rng(1))
    air = place.pressure / (GAS_CONSTANT * place.temperature)
    wanted = np.array([[ppm[cas] * 1e-6 * air] * 100 for cas in vapours.cas])
    flow = AirFlow(cabinet=1.0, ventilation=1e12, room_volume=1.0)  # nothing comes back through the room
    vapours = replace(vapours, emission=wanted, stack=_NoFilter(), flow=flow)
    result, _ = normal_storage(case, vapours, np.array([0.0, 365.0]))
    parts = dict(zip(result.cas, result.fraction[0, :, 0], strict=True))
    assert parts == pytest.approx({"67-64-1": 0.5, "78-93-3": 0.225, "108-88-3": 0.2}, rel=1e-9)
    assert result.index == pytest.approx(0.925, rel=1e-9)
