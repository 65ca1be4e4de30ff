"""Readings weighed against an assessment: the same draws, the sampling points, and one answer. Cabinets are invented."""

import datetime
import json
from dataclasses import replace

import numpy as np
import pytest

from assessment.invented import bottle, cabinet, inventory, room
from stillroom.assessment import assess
from stillroom.assessment.numbers import cautious_days
from stillroom.assessment.points import at_points, behind_bed, drawn_again, more_bypass
from stillroom.cabinet.design import Cabinet
from stillroom.cabinet.load import parse_cabinet, shipped_tables
from stillroom.errors import InputError
from stillroom.media.model import FilterStack
from stillroom.monitoring import Instrument, Reading, Response
from stillroom.services.reading import Asked, air_of, weigh

INSTALLED = datetime.date(2026, 1, 1)
TODAY = datetime.date(2026, 3, 2)
PID = Instrument(
    "pid",
    "invented",
    0.005,
    responses={"108-88-3": Response(0.5), "1330-20-7": Response(0.45)},
    calibrated=(datetime.date(2026, 2, 20),),
)


def two_beds() -> Cabinet:
    tables = shipped_tables("full-height")
    bed = {"medium": "coconut", "mass_kg": 6.0, "area_m2": 0.3}
    tables["filters"]["bed"] = [bed, dict(bed)]
    return parse_cabinet(tables)


STORED = inventory(bottle(1, "108-88-3", 1e-3, 4), bottle(2, "1330-20-7", 1e-3, 4))
ASKED = Asked(STORED, two_beds(), room(), INSTALLED, seed=3, draws=400)


@pytest.fixture(scope="module")
def result():
    return assess(STORED, ASKED.cabinet, ASKED.room, seed=3, draws=400)


@pytest.fixture(scope="module")
def usual(result) -> dict[str, float]:
    """The median that each point should show after 60 days [ppm as isobutylene]."""
    answer = weigh(ASKED, [Reading(point, TODAY, PID, 0.1) for point in POINTS], today=TODAY, repeats=19)
    return {item["point"]: item["expected"]["p50"] for item in answer["readings"]}


POINTS = ("room", "cabinet", "between beds", "exhaust")


def read(values: dict[str, float], **more: object) -> list[Reading]:
    return [Reading(point, TODAY, PID, value) for point, value in values.items()]  # type: ignore[arg-type]


def test_the_draws_are_those_of_the_assessment(result) -> None:
    vapours, inlet = drawn_again(result.staying)
    assert np.array_equal(inlet, result.normal.inlet)
    assert np.array_equal(vapours.emission, result.normal.emission)


def test_the_exhaust_is_the_one_that_the_limit_clock_looked_at(result) -> None:
    vapours, inlet = drawn_again(result.staying)
    air = at_points(result.staying, vapours, inlet, result.normal.days)
    per_ppm = {subject.cas: subject.criterion.value for subject in result.case.subjects}
    for place, cas in enumerate(air.cas):
        assert air.stored["exhaust"][:, place] / per_ppm[cas] == pytest.approx(
            result.normal.fraction[:, place], rel=1e-9
        )


def test_balances_between_the_points(result) -> None:
    # theory: steady balances of cabinet and room. Q (c_in − c_room) = E, and what the exhaust returns is ventilated.
    vapours, inlet = drawn_again(result.staying)
    air = at_points(result.staying, vapours, inlet, np.array([30.0, 300.0]))
    ppm = 8.314462618 * ASKED.room.temperature / ASKED.room.pressure * 1e6
    flow = vapours.flow
    added = (air.total["cabinet"] - air.total["room"]) / ppm
    assert flow.cabinet * added == pytest.approx(np.broadcast_to(vapours.emission, added.shape), rel=1e-9)
    # stored only: E − Q (c_in − c_exhaust) = ventilation × c_room
    lost = flow.cabinet * (air.stored["cabinet"] - air.stored["exhaust"]) / ppm
    left = flow.ventilation * air.stored["room"] / ppm
    assert vapours.emission - lost == pytest.approx(left, rel=1e-6, abs=1e-18)


def test_behind_the_first_bed_is_a_stack_of_that_bed(result) -> None:
    vapours, inlet = drawn_again(result.staying)
    beds = ASKED.cabinet.filters.beds
    alone = FilterStack(None, beds[:1], ASKED.cabinet.filters.seal_bypass)
    front = behind_bed(vapours.stack, ASKED.cabinet.filters, 1)
    assert front is not None
    assert sum(layer.mass for layer in front.layers) == pytest.approx(alone.beds[0].mass)
    times = np.array([10.0, 100.0, 400.0]) * 86400.0
    two = replace(vapours.stack, bypass=np.zeros(400)).exhaust(times, inlet)
    assert (front.exhaust(times, inlet) >= two * (1.0 - 1e-9)).all()
    assert behind_bed(vapours.stack, ASKED.cabinet.filters, 2) is None


def test_a_leaking_seal_shows_in_the_exhaust_and_not_between_the_beds(result) -> None:
    vapours, inlet = drawn_again(result.staying)
    layout = [
        Reading(point, INSTALLED + datetime.timedelta(days=5), PID)
        for point in ("cabinet", "between beds", "exhaust")
    ]
    leaking = more_bypass(vapours, np.full(400, 0.1))
    air, _ = air_of(result.staying, leaking, inlet, layout, INSTALLED)
    through = air[2] / air[0]
    assert through.min() >= 0.1 - 1e-12
    assert np.median(through) == pytest.approx(0.1, rel=1e-3)
    assert np.median(air[1] / air[0]) < 1e-3


def test_one_answer_the_same_each_time_and_json(usual) -> None:
    first = weigh(ASKED, read(usual), today=TODAY, repeats=19)
    assert json.loads(json.dumps(first)) == first
    assert weigh(ASKED, read(usual), today=TODAY, repeats=19) == first
    assert first["verdict"] == "consistent"
    assert first["look_at_first"] == []
    assert 0 < first["ess"] <= first["draws"]


def test_life_before_is_that_of_the_record_less_the_age(result, usual) -> None:
    answer = weigh(ASKED, read(usual), today=TODAY, repeats=19)
    left = np.maximum(result.life - 60.0, 0.0)
    for name, share in (("p05", 0.05), ("p50", 0.5), ("p95", 0.95)):
        assert answer["life"]["before"][name] == pytest.approx(
            np.quantile(left, share, method="inverted_cdf"), rel=1e-5
        )
    assert answer["life"]["before"]["cautious"] == pytest.approx(
        max(np.floor(cautious_days(result.life)) - 60.0, 0.0), abs=1.0
    )


def test_more_than_expected_shortens_the_life_and_less_does_not(usual) -> None:
    """A richer inlet loads the filter faster."""
    asked = replace(
        ASKED,
        cabinet=replace(ASKED.cabinet, max_age_days=3650.0),
        room=room(rules={"marker_cas": "108-88-3"}),
    )
    lives = [
        weigh(
            asked,
            read({"cabinet": factor * usual["cabinet"], "room": factor * usual["room"]}),
            today=TODAY,
            repeats=19,
        )["life"]
        for factor in (0.5, 1.0, 2.0)
    ]
    middles = [life["after"]["p50"] for life in lives]
    assert middles[0] > middles[1] > middles[2]
    assert middles[2] < lives[0]["before"]["p50"] < middles[0]


def test_a_leaking_seal_is_named_and_no_life_is_derived(usual) -> None:
    answer = weigh(ASKED, read(usual | {"exhaust": 0.15 * usual["cabinet"] + 0.03}), today=TODAY, repeats=99)
    assert answer["verdict"] == "inconsistent"
    assert answer["look_at_first"][0]["cause"] == "by-pass"
    assert set(answer["life"]["after"].values()) == {None}
    assert answer["life"]["before"]["p50"] is not None
    assert answer["words"][0].startswith("Inconsistent")
    assert next(item for item in answer["readings"] if item["point"] == "exhaust")["verdict"] == "outside"


def test_an_instrument_that_cannot_see_leaves_everything_as_it_was() -> None:
    tube = Instrument("t", "invented tube", 0.1, target_cas="50-00-0", calibrated=(INSTALLED,))
    answer = weigh(ASKED, [Reading("exhaust", TODAY, tube)], today=TODAY, repeats=19)
    assert answer["verdict"] == "cannot tell"
    assert set(answer["life"]["after"].values()) == {None}


def test_too_few_draws_are_said(usual, monkeypatch) -> None:
    monkeypatch.setattr("stillroom.services.reading._MORE", 2)
    few = replace(ASKED, draws=100)
    days = [TODAY - datetime.timedelta(days=number) for number in range(0, 40, 4)]
    many = [Reading(point, day, PID, usual[point] * 1.3) for point in ("cabinet", "room") for day in days]
    answer = weigh(few, many, today=TODAY, repeats=19)
    assert answer["verdict"] == "consistent"
    assert answer["draws"] == 200
    assert answer["ess"] < 100
    assert answer["weight_of_readings"] < 1.0
    assert any("Too few draws agree" in words for words in answer["words"])


def test_readings_on_an_earlier_filter_do_not_count(usual) -> None:
    old = Reading("exhaust", INSTALLED - datetime.timedelta(days=3), PID, 5.0)
    answer = weigh(ASKED, [old, *read(usual)], today=TODAY, repeats=19)
    assert len(answer["readings"]) == 4
    assert any("before this filter" in words for words in answer["words"])
    with pytest.raises(InputError, match="this filter"):
        weigh(ASKED, [old], today=TODAY)


@pytest.mark.parametrize(
    ("asked", "readings", "today", "words"),
    [
        (ASKED, [], TODAY, "no reading"),
        (ASKED, [Reading("room", TODAY, PID, 0.1)], INSTALLED, "future"),
        (replace(ASKED, cabinet=cabinet()), [Reading("between beds", TODAY, PID, 0.1)], TODAY, "1 bed,"),
        (ASKED, [Reading("between beds", TODAY, PID, 0.1, bed_number=2)], TODAY, "2 beds"),
    ],
)
def test_what_cannot_be_is_refused(
    asked: Asked, readings: list[Reading], today: datetime.date, words: str
) -> None:
    with pytest.raises(InputError, match=words):
        weigh(asked, readings, today=today)
