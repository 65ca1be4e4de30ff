"""What must go elsewhere, how many places that takes, and plans over several cabinets. No origin outside: what they are."""

from __future__ import annotations

import pytest
from tests.segregation.test_placement import cabinet, conflict, container, shelf

from stillroom.cabinet.design import Compartment
from stillroom.segregation import Conflict, fewest_out, further, place, said, settle

ONE = cabinet(Compartment("A", (shelf("1"),)))


def star() -> list[Conflict]:
    """r2 with all others."""
    return [conflict("r2", key, "separate compartment") for key in ("r3", "r4", "r5")]


def test_the_one_that_conflicts_with_all_goes_and_gives_its_reasons() -> None:
    assert fewest_out(star()) == {"r2": tuple(star())}
    assert fewest_out([]) == {}


def test_of_equals_the_later_row_goes() -> None:
    assert list(fewest_out([conflict("r9", "r10", "alone")])) == ["r10"]


def test_those_that_bear_each_other_share_a_place_and_those_that_do_not_get_another() -> None:
    apart = [conflict("r2", "r3", "separate compartment"), conflict("r3", "r4", "separate tray")]
    places = further(["r2", "r3", "r4"], apart)
    assert [one.keys for one in places] == [("r2", "r4"), ("r3",)]
    assert not any(one.cabinet for one in places)


@pytest.mark.parametrize("severity", ["not in one cabinet", "alone"])
def test_who_may_not_share_the_air_needs_a_cabinet(severity: str) -> None:
    pair = [conflict("r2", "r3", severity)]  # type: ignore[arg-type]
    (place_,) = further(["r2"], pair, ["r3"])
    assert place_.cabinet
    assert said([place_], {"r2": "bromine"})[0].startswith("Another cabinet would take: bromine.")
    # both out: the first may have a compartment here, the second not
    assert [one.cabinet for one in further(["r2", "r3"], pair)] == [False, True]


def test_two_cabinets_part_what_one_cannot() -> None:
    containers = [container("r2", "7647-01-0", 1e-3), container("r3", "7664-41-7", 1e-3)]
    pair = conflict("r2", "r3", "not in one cabinet")
    plan = place(containers, [ONE, ONE], [pair], seed=1, seconds=1.0)
    assert plan.unsolved == () and plan.not_placed == ()
    assert {one.cabinet for one in plan.placed} == {0, 1}


def test_a_settled_plan_leaves_out_the_fewest_and_keeps_the_rest() -> None:
    containers = [container(f"r{n}", "108-88-3", 5e-4) for n in range(2, 6)]
    settled = settle(containers, ONE, star(), seed=1, seconds=1.0)
    assert list(settled.elsewhere) == ["r2"]
    assert {one.container for one in settled.plan.placed} == {"r3", "r4", "r5"}
    assert settled.plan.unsolved == ()
    assert [one.keys for one in settled.further] == [("r2",)]


def test_a_settled_plan_over_two_cabinets_leaves_nothing_out() -> None:
    containers = [container(f"r{n}", "108-88-3", 5e-4) for n in range(2, 6)]
    settled = settle(containers, [ONE, ONE], star(), seed=1, seconds=1.0)
    assert settled.elsewhere == {} and settled.further == ()
    assert len(settled.plan.placed) == 4


def test_kinds_do_not_mix_in_a_tray_while_there_are_trays_enough() -> None:
    """Solvents with solvents, acids with acids, though no rule parts dilute acid from solvent (common practice, no source)."""
    containers = [
        container("r2", "108-88-3", 5e-4),
        container("r3", "64-19-7", 5e-4),
        container("r4", "67-64-1", 5e-4),
        container("r5", "7647-01-0", 5e-4),
    ]
    plan = place(containers, ONE, [], seed=1, seconds=1.0)
    trays: dict[int, set[str]] = {}
    for one in plan.placed:
        trays.setdefault(one.tray, set()).add(one.kind)
    assert all(len(kinds) == 1 for kinds in trays.values())
