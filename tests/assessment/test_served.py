"""A filter that stays in place where the contents change: its past counts in the answer. Data are invented."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from assessment.invented import LITRE, answer, bottle, cabinet, inventory, reasons, room
from stillroom.assessment.numbers import cautious_days
from stillroom.errors import InputError
from stillroom.services.assess import assess
from stillroom.services.record import as_record

TOLUENE, ACETONE, LIMONENE, HEXANE = "108-88-3", "67-64-1", "5989-27-5", "110-54-3"


def served(days: float, *vapours: tuple[str, float], factor: float = 1.0) -> dict[str, object]:
    rows = [{"cas": cas, "mg_m3": mg_m3} for cas, mg_m3 in vapours]
    return {"days": float(days), "vapour": rows, "uncertainty_factor": factor}


def with_past(*periods: dict[str, object], installed: str = "2026-01-01"):
    return cabinet(installed=installed, served=list(periods))


def days(result) -> float:
    return cautious_days(result.life)


def test_a_filter_that_was_loaded_before_lasts_less() -> None:
    """A year of an inventory that is gone now: less is left for a spill. That a loaded filter holds less is common practice,
    no source."""
    bottles, air = (bottle(2, HEXANE, 2.5 * LITRE),), room(background=[])
    pasts = [served(60, (LIMONENE, mg_m3), (HEXANE, 0.0)) for mg_m3 in (0.0, 1.0, 2.0, 4.0)]
    spills = [answer(*bottles, house=with_past(past), place=air).subjects[0].spill for past in pasts]
    end = [
        (-spill.minutes, float(np.quantile(spill.short[-1], 0.95))) for spill in spills if spill is not None
    ]
    assert len(end) == 4
    assert end == sorted(end)  # cleaned up sooner, or nearer to the limit
    assert end[-1] > end[0]


def test_what_only_was_there_has_no_verdict_and_no_exhaust_of_its_own() -> None:
    house = with_past(served(60, (TOLUENE, 5.0)))
    result = answer(bottle(2, ACETONE, LITRE), house=house, place=room(background=[]))
    assert {item.subject.cas for item in result.subjects} == {ACETONE}
    place = result.normal.cas.index(TOLUENE)
    assert result.normal.fraction[:, place].max() == 0.0
    assert result.normal.emission[place].max() == 0.0
    assert result.room_load == ()


def test_a_filter_that_is_used_up_is_refused_in_so_many_words() -> None:
    """What came to it is more than it bears: no bottle is to blame, a new filter mends it."""
    bottles, air = (bottle(2, HEXANE, 2.5 * LITRE),), room(background=[])
    result = answer(*bottles, house=with_past(served(120, (LIMONENE, 3.0))), place=air)
    assert result.verdict == "not approved"
    assert days(result) < 120.0
    assert any("used up" in words for words in result.words)
    worse = answer(*bottles, house=with_past(served(120, (LIMONENE, 15.0))), place=air)
    assert worse.verdict == "not approved"
    assert "a new one may bear it" in reasons(worse, HEXANE)
    assert answer(*bottles, house=with_past(), place=air).verdict != "not approved"


def test_the_record_tells_it() -> None:
    result = answer(
        bottle(2, ACETONE, LITRE), house=with_past(served(60, (TOLUENE, 5.0), factor=2.0)), place=room()
    )
    record = as_record(result, date=date(2026, 6, 1), title="invented", invented=True)
    assert (
        "has served 60 days with toluene 5.0 mg/m³ (within a factor of 2)" in record["cabinet"]["filters"][-1]
    )
    assert any("has served 60 days with toluene" in words for words in record["assumptions"])


@pytest.mark.parametrize(
    ("installed", "says"), [("2026-05-01", "cannot have served longer"), ("last May", "is no date")]
)
def test_no_filter_served_longer_than_it_was_there(installed: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        assess(
            inventory(bottle(2, ACETONE, LITRE)),
            with_past(served(60, (TOLUENE, 5.0)), installed=installed),
            room(),
            date=date(2026, 6, 1),
            title="invented",
            draws=100,
        )


@pytest.mark.parametrize(
    ("filters", "place"),
    [
        (
            {"served": [served(60, ("toluene", 5.0))], "installed": "2026-01-01"},
            "filters.served.1.vapour.1.cas",
        ),
        ({"served": [served(60, (TOLUENE, 5.0))], "installed": ""}, "filters.installed"),
        ({"served": [served(-1, (TOLUENE, 5.0))], "installed": "2026-01-01"}, "filters.served.1.days"),
        (
            {"served": [served(60, (TOLUENE, -5.0))], "installed": "2026-01-01"},
            "filters.served.1.vapour.1.mg_m3",
        ),
    ],
)
def test_faults_of_a_past(filters, place) -> None:
    with pytest.raises(InputError) as caught:
        cabinet(**filters)
    assert place in {problem.column for problem in caught.value.problems}


def test_the_past_is_uncertain_by_its_factor() -> None:
    """A factor of 3 at 5 and 95 % about the same middle: the life spreads more, and its cautious end comes sooner."""
    air = room(background=[])
    lives = [
        answer(
            bottle(2, ACETONE, 2.5 * LITRE),
            house=with_past(served(120, (LIMONENE, 10.0), factor=factor)),
            place=air,
        )
        for factor in (1.0, 3.0)
    ]
    assert days(lives[1]) <= days(lives[0])
    assert np.isfinite(days(lives[1]))
    assert not reasons(lives[0], LIMONENE)
