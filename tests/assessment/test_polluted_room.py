"""What the room's own vapours do to the filter. That a dirty room shortens a filter's life is common practice, no source."""

from __future__ import annotations

from datetime import date
from functools import cache

import numpy as np
import pytest
from scipy.stats import binom

from assessment.invented import LITRE, answer, bottle, inventory, room
from stillroom.assessment.case import gather
from stillroom.assessment.checks import reserve
from stillroom.assessment.checks.normal import settle_feedback
from stillroom.assessment.checks.room_load import load_of_room
from stillroom.assessment.checks.spill import cautious, design_spill
from stillroom.assessment.result import Assessment, RoomLoad
from stillroom.assessment.vapours import release
from stillroom.services.record import as_record

TOLUENE, ETHANOL, LIMONENE, HEXANE = "108-88-3", "64-17-5", "5989-27-5", "110-54-3"


def air(mg_m3: float, *cas: str):
    """A room whose air holds `mg_m3` of vapours, in equal parts of `cas`."""
    parts = cas or (TOLUENE, ETHANOL, LIMONENE)
    return room(background=[{"cas": one, "mg_m3": mg_m3 / len(parts)} for one in parts] if mg_m3 else [])


@cache
def hexane(mg_m3: float, *cas: str) -> Assessment:
    return answer(bottle(2, HEXANE, 2.5 * LITRE), place=air(mg_m3, *cas))


def cautious_life(result: Assessment) -> float:
    if not result.staying.containers:
        return 0.0
    # largest rank with at most 5 % chance that fewer draws lie under the true 5 % point: scipy's binomial
    rank = int(binom.ppf(0.05, result.life.size, 0.05))
    return float(np.sort(result.life)[rank - 1])


def test_grams_a_year_are_concentration_times_air() -> None:
    """1 mg/m³ × 200 m³/h × 8760 h = 1752 g; the median of 200 draws within 10 % (factor 2 at 90 %: 0.42/√200 × 2)."""
    result = hexane(3.0)
    assert {load.cas for load in result.room_load} == {TOLUENE, ETHANOL, LIMONENE}
    for load in result.room_load:
        assert float(np.median(load.grams_a_year)) == pytest.approx(1752.0, rel=0.1)


def test_what_is_held_was_brought_and_shares_are_of_one_whole() -> None:
    """Mass balance: with a filter of 365 days no more is on the carbon than a year has brought."""
    loads = hexane(5.0).room_load
    for load in loads:
        assert (load.held <= load.grams_a_year * (1 + 1e-9)).all()
    total = sum(load.share for load in loads)
    assert (total <= 1 + 1e-9).all() and float(np.median(total)) > 0.9


def test_what_is_also_stored_is_counted_as_the_rooms_by_its_part() -> None:
    place = air(1.0, HEXANE)
    case = gather(
        inventory(bottle(2, HEXANE, 2.5 * LITRE, 4)), answer(bottle(2, HEXANE, LITRE)).case.cabinet, place
    )
    vapours = release(case, np.random.default_rng(1))
    inlet = settle_feedback(vapours, until_days=365.0)
    (load,) = load_of_room(case, vapours, inlet)
    assert load.share == pytest.approx((vapours.background / inlet)[0], rel=1e-12)
    assert (load.share < 1).all()


def test_ammonia_in_the_rooms_air_is_not_held_by_plain_carbon() -> None:
    """It passes as it comes, so that what stands in the room's air also leaves the filter. Common practice, no source."""
    (load,) = hexane(1.0, "7664-41-7").room_load
    assert (abs(load.held) < 1e-9).all()


def test_heavy_vapours_stay_and_light_ones_pass() -> None:
    """Boiling points 78, 111 and 176 °C (NIOSH Pocket Guide; limonene: PubChem): the heavier stays, the lighter passes first."""
    loads = {load.cas: load for load in hexane(5.0).room_load}
    held = [float(np.median(loads[cas].held)) for cas in (ETHANOL, TOLUENE, LIMONENE)]
    through = [float(np.median(loads[cas].through)) for cas in (ETHANOL, TOLUENE, LIMONENE)]
    assert held == sorted(held) and through == sorted(through)
    assert through[0] < 10.0


def test_the_dirtier_the_room_the_shorter_the_life_of_a_filter_that_spills_need() -> None:
    lives = [cautious_life(hexane(level)) for level in (0.0, 0.3, 5.0, 15.0)]
    assert lives == sorted(lives, reverse=True)
    assert lives[0] == lives[1] == pytest.approx(365.0)  # a year in ordinary air
    assert lives[2] < 182.0


def test_a_shorter_life_is_a_condition_and_no_refusal() -> None:
    result = hexane(5.0)
    assert result.verdict == "approved with conditions"
    assert result.governing == HEXANE
    assert (
        f"The filter is replaced after {int(cautious_life(result))} days at the latest." in result.conditions
    )


def test_until_then_the_spill_is_borne_indeed() -> None:
    """The same spill, computed at nine tenths of the age that was promised."""
    result = hexane(5.0)
    subject = result.subjects[0].subject
    spill = result.subjects[0].spill
    assert spill is not None
    promised = reserve.borne_days(spill, result.case)
    assert promised is not None and promised < 365.0
    vapours = release(result.case, np.random.default_rng(1))
    inlet = settle_feedback(vapours, until_days=result.case.cabinet.max_age_days)
    container = reserve.largest_of(subject)
    assert container is not None
    again = design_spill(
        subject, container, result.case, vapours, inlet,
        ages=np.array([0.9 * promised]), minutes=spill.minutes, rng=np.random.default_rng(12),
    )  # fmt: skip
    assert cautious(again, result.case)


def test_too_short_a_life_is_a_refusal_that_says_what_would_mend_it() -> None:
    result = answer(bottle(2, "75-05-8", LITRE), place=air(30.0))
    assert result.verdict == "not approved"
    assert "a cleaner room would mend it" in " ".join(
        finding.reason for finding in result.subjects[0].findings
    )


def test_where_nothing_needs_the_filter_the_room_is_said_and_no_alarm() -> None:
    """2 × 2.5 L of toluene: whatever the room has done to the filter, the bottles need none."""
    result = answer(bottle(2, TOLUENE, 2.5 * LITRE, 2), place=air(5.0))
    assert result.verdict == "approved" and result.conditions == ()
    assert any("The room's own vapours load the filter" in words for words in result.assumptions)
    assert "comes through" in next(clock for clock in result.clocks if clock.name == "saturation").words


def loading(result: Assessment) -> bool:
    return any(words.startswith("The room loads the filter") for words in result.conditions)


def test_visits_watch_the_room_only_where_it_fills_the_filter_early() -> None:
    assert loading(hexane(5.0))
    assert not loading(hexane(0.3, TOLUENE))  # ordinary air
    assert not loading(hexane(5.0, ETHANOL))  # passes within days and leaves hardly anything on the carbon


def test_the_site_may_let_the_rooms_vapour_be_the_marker() -> None:
    place = room(background=[{"cas": LIMONENE, "mg_m3": 5.0}], rules={"marker_cas": LIMONENE})
    result = answer(bottle(2, TOLUENE, LITRE), place=place)
    clock = next(clock for clock in result.clocks if clock.name == "saturation")
    assert clock.governing == LIMONENE
    assert np.array_equal(clock.days, result.room_load[0].through)
    assert cautious_life(result) < 365.0


def test_the_record_tells_what_the_room_does() -> None:
    record = as_record(hexane(5.0), date=date(2026, 11, 2), title="invented", invented=True)
    loads = record["room"]["filter_load"]
    assert isinstance(loads, list)
    assert [item["cas"] for item in loads] == [LIMONENE, TOLUENE, ETHANOL]
    for item in loads:
        for key in ("grams_a_year", "held_g", "share_of_held", "through_days"):
            assert item[key]["p05"] <= item[key]["p50"]


def test_no_stated_vapours_no_load() -> None:
    assert hexane(0.0).room_load == ()
    assert isinstance(hexane(0.3).room_load[0], RoomLoad)
