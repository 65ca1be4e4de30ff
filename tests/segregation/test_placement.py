"""The shelf plan: what must hold for every plan, on invented cabinets and inventories."""

from __future__ import annotations

import math
from itertools import combinations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stillroom.cabinet.design import Cabinet, Compartment, Shelf
from stillroom.cabinet.load import load_cabinet
from stillroom.inventory.model import Component, Container
from stillroom.media.model import FilterStack, Interval
from stillroom.segregation import Conflict, Plan, Severity, place
from stillroom.segregation.placement import EYE_LEVEL
from stillroom.substances import resolve
from stillroom.substances.model import Substance
from stillroom.units import Quantity

SOLVENTS = ("108-88-3", "67-64-1", "7664-93-9", "7722-84-1", "7647-14-5")
SLACK = 1e-9
"""Rounding of sums of floats [m]."""


def substance(cas: str) -> Substance:
    found = resolve(cas=cas).substance
    assert found is not None
    return found


def container(key: str, cas: str, amount: float, count: int = 1, *, solid: bool = False) -> Container:
    what = substance(cas)
    return Container(
        key,
        int(key[1:]),
        what.name,
        cas,
        (Component(what, 1.0),),
        Quantity(amount, "mass" if solid else "volume"),
        count,
        "solid" if solid else "liquid",
    )


def conflict(first: str, second: str, severity: Severity) -> Conflict:
    return Conflict(
        first, second, ("", ""), ("", ""), "heat", "invented", "from-memory", "", severity, "apart"
    )


def shelf(
    key: str, *, height: float = 0.1, load: float = 60.0, trays: int = 2, tray: float | None = 8e-3
) -> Shelf:
    return Shelf(key, height, 0.9, 0.5, 0.4, load, trays, tray)


def cabinet(*compartments: Compartment) -> Cabinet:
    stack = FilterStack(None, (), Interval(1e-4, 5e-4, 5e-3, "from-memory"), "")
    return Cabinet("invented", 1.0, 0.6, 1.95, 0.75, 0.055, compartments, stack)


def check(plan: Plan, containers: list[Container], house: Cabinet, conflicts: list[Conflict]) -> None:
    """What every plan owes to those who load the cabinet by it."""
    shelves = {(c.key, s.key): s for c in house.compartments for s in c.shelves}
    by_key = {item.key: item for item in containers}
    on: dict[tuple[str, str], list] = {}
    where: dict[str, set[tuple[str, str, int]]] = {}
    for one in plan.placed:
        on.setdefault((one.compartment, one.shelf), []).append(one)
        where.setdefault(one.container, set()).add((one.compartment, one.shelf, one.tray))
        board = shelves[one.compartment, one.shelf]
        number = max(board.trays, 1)
        left = (max(one.tray, 1) - 1) * board.width / number
        assert 1 <= one.tray <= board.trays or (one.tray == 0 and board.trays == 0)
        assert left - SLACK <= one.x - one.diameter / 2
        assert one.x + one.diameter / 2 <= left + board.width / number + SLACK, (
            "it stands across its tray's rim"
        )
        assert one.y - one.diameter / 2 >= -SLACK and one.y + one.diameter / 2 <= board.depth + SLACK
        assert one.height <= board.clear_height
        item = by_key[one.container]
        if item.state == "liquid" and board.tray_volume is not None:
            # 110 % of the largest container (secondary containment, common rule; 40 CFR 264.175(b)(3) asks for 100 %)
            assert item.amount.value * 1.10 <= board.tray_volume
    for (compartment, key), members in on.items():
        assert sum(one.mass for one in members) <= shelves[compartment, key].max_load + SLACK
        for one, other in combinations(members, 2):
            gap = math.hypot(one.x - other.x, one.y - other.y)
            assert gap >= (one.diameter + other.diameter) / 2 - SLACK, "two containers overlap"
    missing = dict(plan.not_placed)
    assert set(missing) <= set(by_key) and all(missing.values())
    for item in containers:
        copies = [one.copy for one in plan.placed if one.container == item.key]
        assert sorted(copies) == list(range(1, len(copies) + 1))
        assert len(copies) <= item.count
        assert (len(copies) < item.count) == (item.key in missing), (
            "what is not placed is said, and only that"
        )
    for pair in conflicts:
        first, second = where.get(pair.first, set()), where.get(pair.second, set())
        together = {
            "separate tray": bool(first & second),
            "separate compartment": bool({place[0] for place in first} & {place[0] for place in second}),
            "not in one cabinet": bool(first and second),
            "alone": bool(first and second),
        }[pair.severity]
        assert together == (pair in plan.unsolved)


CONTAINERS = st.lists(
    st.tuples(
        st.sampled_from(SOLVENTS), st.sampled_from((1e-4, 5e-4, 1e-3, 2.5e-3, 5e-3, 1e-2)), st.integers(1, 5)
    ),
    min_size=1,
    max_size=7,
)
SEVERITY = st.sampled_from(("separate tray", "separate compartment", "not in one cabinet", "alone"))
BOARDS = st.lists(
    st.tuples(st.sampled_from((4.0, 12.0, 60.0)), st.integers(0, 3), st.sampled_from((None, 2e-3, 8e-3))),
    min_size=1,
    max_size=4,
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(rows=CONTAINERS, boards=BOARDS, data=st.data())
def test_every_plan_keeps_its_promises(rows: list, boards: list, data: st.DataObject) -> None:
    """No origin outside: what a plan is. Circles that overlap, a shelf overloaded, a bottle lost are plain faults."""
    containers = [
        container(f"r{n}", cas, amount * (1000 if cas == "7647-14-5" else 1), count, solid=cas == "7647-14-5")
        for n, (cas, amount, count) in enumerate(rows, 2)
    ]
    made = [
        shelf(str(n), height=0.1 + 0.45 * n, load=load, trays=trays, tray=tray if trays else None)
        for n, (load, trays, tray) in enumerate(boards)
    ]
    cut = data.draw(st.integers(0, len(made) - 1))
    parts = [Compartment(key, tuple(some)) for key, some in (("A", made[:cut]), ("B", made[cut:])) if some]
    house = cabinet(*parts)
    pairs = list(combinations([item.key for item in containers], 2))
    chosen = data.draw(st.lists(st.tuples(st.sampled_from(pairs), SEVERITY), max_size=4)) if pairs else []
    conflicts = [conflict(first, second, severity) for (first, second), severity in chosen]
    plan = place(containers, house, conflicts, seed=1, seconds=0.05)
    check(plan, containers, house, conflicts)


def test_the_shipped_cabinet_holds_a_usual_inventory() -> None:
    """24 bottles that a full-height cabinet of this size is bought for (common practice, no source): all find a place."""
    containers = [
        container("r2", "108-88-3", 2.5e-3, 2),
        container("r3", "67-64-1", 2.5e-3, 2),
        container("r4", "67-56-1", 1e-3, 4),
        container("r5", "7664-93-9", 1e-3, 2),
        container("r6", "7722-84-1", 5e-4, 4),
        container("r7", "7647-14-5", 0.5, 10, solid=True),
    ]
    conflicts = [conflict("r5", key, "separate compartment") for key in ("r2", "r3", "r4")]
    house = load_cabinet("full-height")
    plan = place(containers, house, conflicts, seed=1, seconds=2.0)
    check(plan, containers, house, conflicts)
    assert plan.not_placed == () and plan.unsolved == ()


def test_two_that_need_two_compartments_get_them() -> None:
    containers = [container("r2", "7664-93-9", 1e-3), container("r3", "108-88-3", 1e-3)]
    house = cabinet(Compartment("A", (shelf("1"),)), Compartment("B", (shelf("2", height=0.6),)))
    plan = place(containers, house, [conflict("r2", "r3", "separate compartment")], seed=1, seconds=1.0)
    assert {one.compartment for one in plan.placed} == {"A", "B"}
    assert plan.unsolved == ()


def test_what_one_compartment_cannot_part_is_reported() -> None:
    containers = [container("r2", "7664-93-9", 1e-3), container("r3", "108-88-3", 1e-3)]
    pair = conflict("r2", "r3", "separate compartment")
    plan = place(containers, cabinet(Compartment("A", (shelf("1"),))), [pair], seed=1, seconds=1.0)
    assert plan.unsolved == (pair,)


@pytest.mark.parametrize("severity", ["not in one cabinet", "alone"])
def test_no_tray_mends_what_must_not_share_the_air(severity: Severity) -> None:
    """The compartments of one cabinet share their air."""
    containers = [container("r2", "7647-01-0", 1e-3), container("r3", "7664-41-7", 1e-3)]
    pair = conflict("r2", "r3", severity)
    assert place(containers, load_cabinet("full-height"), [pair], seed=1, seconds=1.0).unsolved == (pair,)


def test_the_smaller_tray_takes_no_liquid_that_would_overflow_it() -> None:
    containers = [container("r2", "108-88-3", 2.5e-3)]
    tight = cabinet(Compartment("A", (shelf("1", tray=2.7e-3),)))
    wide = cabinet(Compartment("A", (shelf("1", tray=2.8e-3),)))
    assert dict(place(containers, tight, [], seed=1, seconds=1.0).not_placed)["r2"].startswith(
        "no tray holds 110 %"
    )
    assert place(containers, wide, [], seed=1, seconds=1.0).not_placed == ()


def test_what_is_too_tall_says_so() -> None:
    containers = [container("r2", "108-88-3", 2.5e-2)]
    plan = place(containers, load_cabinet("full-height"), [], seed=1, seconds=1.0)
    assert "high" in dict(plan.not_placed)["r2"]


def test_liquids_and_corrosives_stand_low() -> None:
    """Nothing hazardous above 1.5 m, heavy and liquid low (university storage guidance, from memory)."""
    high = shelf("2", height=1.45)
    house = cabinet(Compartment("A", (shelf("1"), high)))
    containers = [container("r2", "7664-93-9", 1e-3, 2), container("r3", "67-64-1", 2.5e-3, 2)]
    plan = place(containers, house, [], seed=1, seconds=1.0)
    assert {one.shelf for one in plan.placed} == {"1"}
    assert high.height < EYE_LEVEL < high.height + 0.2


def test_the_only_low_place_goes_to_the_corrosive() -> None:
    """A small bottle of acid before a large one of acetone: eyes come first (university storage guidance, from memory)."""
    low = Shelf("1", 0.1, 0.18, 0.18, 0.4, 60.0, 1, 8e-3)
    house = cabinet(Compartment("A", (low, shelf("2", height=1.45))))
    containers = [container("r2", "7664-93-9", 5e-4), container("r3", "67-64-1", 2.5e-3)]
    plan = place(containers, house, [], seed=1, seconds=1.0)
    assert {one.container: one.shelf for one in plan.placed} == {"r2": "1", "r3": "2"}


def test_the_same_seed_gives_the_same_plan() -> None:
    containers = [container(f"r{n}", cas, 1e-3, 2) for n, cas in enumerate(SOLVENTS[:4], 2)]
    conflicts = [conflict("r4", "r5", "separate tray"), conflict("r2", "r4", "separate compartment")]
    house = load_cabinet("full-height")
    first, second = (place(containers, house, conflicts, seed=7, seconds=0.2) for _ in range(2))
    assert first == second


def test_an_empty_cabinet_has_an_empty_plan() -> None:
    plan = place([], load_cabinet("full-height"), [], seed=1, seconds=0.2)
    assert (plan.placed, plan.not_placed, plan.unsolved) == ((), (), ())
