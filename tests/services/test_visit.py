"""Visits, sensors, filter changes, forecasts and the spent filter on the invented studio, through the database."""

from __future__ import annotations

import datetime
import math

import numpy as np
import pytest

from records.conftest import two  # noqa: F401
from services.studio import ASSESSED, inputs, keep_studio, record
from stillroom.errors import InputError
from stillroom.records.models import Event, FilterChange, Reading, Series, StoredFile, Visit, make_key
from stillroom.services.forecast import forecast
from stillroom.services.in_place import asked_of, filter_in, standing_in
from stillroom.services.replace_filter import LeakCheck, NewBed, replace_filter
from stillroom.services.spent_filter import held_by, spent_filter
from stillroom.services.visit import Entry, earlier_readings, take_series, take_visit

JUNE = datetime.datetime(2026, 6, 10, 12, tzinfo=datetime.UTC)
TODAY = datetime.date(2026, 12, 1)
DAY = datetime.timedelta(days=1)
FITTING = [Entry("cabinet", "1,1"), Entry("exhaust", "0.8")]


@pytest.fixture
def studio(two):  # noqa: F811
    organisation, user = two[0]
    cabinet, instrument = keep_studio(organisation, user)
    return cabinet, instrument, user


def visit(studio, entries, at=JUNE, key="", **more):
    cabinet, instrument, user = studio
    return take_visit(
        cabinet, user, key=key or make_key(), instrument=instrument, entries=entries, measured_at=at, person="A", **more
    )  # fmt: skip


def together(taken):
    return taken.readings.order_by("pk").first().answer["together"]


def change(studio, on, serial="F-1", **more):
    cabinet, _, user = studio
    given = {
        "key": make_key(), "by": "A", "beds": beds(serial), "leak_check": LeakCheck("passed", "photometer"),
        "removed_mass_g": None, "reason": "due", "today": TODAY,
    } | more  # fmt: skip
    return replace_filter(cabinet, user, on=on, **given)


def beds(serial):
    validated = inputs()["cabinet"]["filters"]["bed"]
    return [
        NewBed(bed["medium"], bed["mass_kg"], f"{serial}-{n}", 1e3 * bed["mass_kg"] + 900.0)
        for n, bed in enumerate(validated)
    ]


def test_readings_that_fit_are_answered_and_kept_as_typed(studio):
    taken = visit(studio, FITTING, note="quiet day")
    cabinet_row, exhaust_row = taken.readings.order_by("pk")
    assert (cabinet_row.value_ppm, cabinet_row.answer["ppm"]) == ("1,1", 1.1)
    for row in (cabinet_row, exhaust_row):
        band = row.answer["expected"]
        assert row.answer["verdict"] == "inside"
        assert band["p05"] <= row.answer["ppm"] <= band["p95"]
    answer = together(taken)
    assert answer["verdict"] == "consistent"
    assert (
        answer["ess"] < 0.9 * answer["draws"]
    )  # they moved the weights, though the ends may be the same whole days
    # the filter is older than its cautious life: it says so, and names the clock
    assert answer["life"]["after"]["p05"] == 0.0
    assert any("limit clock has run out (chloroform)" in words.lower() for words in answer["words"])
    assert Event.objects.filter(action="visit.taken", subject=f"visit:{taken.key}").exists()


def test_the_readings_before_them_count_again(studio):
    visit(studio, FITTING)
    cabinet = studio[0]
    later = visit(studio, [Entry("exhaust", "0.9")], JUNE + 14 * DAY)
    assert len(earlier_readings(cabinet, filter_in(cabinet, TODAY), TODAY)) == 3
    alone = together(later)
    assert "Earlier readings on it: 2" in alone["words"][-1]
    assert alone["ess"] != together(Visit.objects.order_by("pk").first())["ess"]


def test_below_the_detection_limit_is_kept_as_that(studio):
    taken = visit(
        studio, [Entry("room", below=True), Entry("exhaust", "< 50", "ppb"), Entry("cabinet", "0.004")]
    )
    rows = list(taken.readings.order_by("pk"))
    assert [row.below_detection for row in rows] == [True, True, True]
    # the instrument's is 0.01 ppm: that it shows 0.004 does not make it see so little
    assert [row.detection_limit_ppm for row in rows] == [0.01, 0.05, 0.01]
    again = earlier_readings(studio[0], filter_in(studio[0], TODAY), TODAY)
    assert [item.below for item in again] == [True, True, True]


def test_what_does_not_fit_gives_no_life_and_says_where_to_look(studio):
    answer = together(visit(studio, [Entry("exhaust", "60")]))
    assert answer["verdict"] == "inconsistent"
    assert answer["life"]["after"]["p05"] is None
    assert answer["look_at_first"]
    told = forecast(studio[0], JUNE.date() + DAY)
    assert told.basis == "validation"
    assert any("do not fit" in words for words in told.words)


def test_a_lapsed_calibration_says_less_and_says_so(studio):
    """On the last day of the calibration (1 June + 100 days), and on the day after: the band of what may be shown.

    In logarithms 0.42² (a factor of two, 90 %) takes the place of 0.05² + (0.03 · 100/30)², 5 % and 3 % a month; a band
    of 90 % is 3.29 σ wide. Tolerance: its ends from 400 draws, eight times.
    """
    ends = datetime.datetime(2026, 9, 9, 12, tzinfo=datetime.UTC)
    assert studio[1].calibrations.first().due == ends.date()
    held, lapsed = (visit(studio, [Entry("room", "0.5")], at) for at in (ends, ends + DAY))
    assert not any("lapsed" in words for words in together(held)["words"])
    assert any("lapsed on 2026-09-09" in words and "kept" in words for words in together(lapsed)["words"])
    bands = [taken.readings.get().answer["expected"] for taken in (held, lapsed)]
    narrow, wide = (math.log(band["p95"] / band["p05"]) for band in bands)
    more = 0.42**2 - 0.05**2 - (0.03 * 100.0 / 30.0) ** 2
    assert wide == pytest.approx(3.29 * math.sqrt((narrow / 3.29) ** 2 + more), rel=0.06)


def test_sent_twice_it_is_kept_once(studio):
    key = make_key()
    first, second = visit(studio, FITTING, key=key), visit(studio, FITTING, key=key)
    assert first == second
    assert (Visit.objects.count(), Reading.objects.count()) == (1, 2)


def test_a_form_gone_back_to_and_changed_is_refused_in_words(studio):
    """The browser's back button brings the old form with its key: what is typed then must not vanish."""
    key = make_key()
    visit(studio, [Entry("exhaust", "8")], key=key)
    for changed in (
        [Entry("exhaust", "0.8")],
        [Entry("room", "8")],
        [*FITTING],
        [Entry("exhaust", "8", below=True)],
    ):
        with pytest.raises(InputError, match="sent before, with other readings"):
            visit(studio, changed, key=key)
    with pytest.raises(InputError, match="sent before"):
        visit(studio, [Entry("exhaust", "8")], key=key, note="the seal was loose")
    assert [row.value_ppm for row in Reading.objects.all()] == ["8"]
    key, on = make_key(), datetime.date(2026, 6, 20)
    first = change(studio, on, key=key)
    assert change(studio, on, key=key) == first
    with pytest.raises(InputError, match="sent before, with something else"):
        change(studio, on, key=key, leak_check=LeakCheck("failed", "photometer"))
    assert FilterChange.objects.count() == 1


def test_a_key_of_anothers_is_refused_in_words(studio, two):  # noqa: F811
    organisation, user = two[1]
    cabinet, instrument = keep_studio(organisation, user)
    key = make_key()
    visit((cabinet, instrument, user), FITTING, key=key)
    with pytest.raises(InputError, match="sent before"):
        visit(studio, FITTING, key=key)
    assert Visit.objects.count() == 1


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        (Entry("exhaust", "much"), "much"),
        (Entry("exhaust", ""), "value is missing"),
        (Entry("exhaust", "-0.2"), "below zero"),
        (Entry("exhaust", "0.2", "grains"), "unit"),
        (Entry("between beds", "0.2", bed_number=7), "no such place"),
    ],
)
def test_what_cannot_be_read_is_said_and_nothing_is_kept(studio, entry, words):
    with pytest.raises(InputError, match=words):
        visit(studio, [Entry("room", "0.1"), entry])
    assert Visit.objects.count() == 0


def test_without_a_standing_validation_they_are_kept_without_an_answer(studio):
    taken = visit(studio, FITTING, datetime.datetime(2027, 2, 1, tzinfo=datetime.UTC))
    assert taken.validation is None
    assert together(taken)["verdict"] == "cannot tell"
    assert taken.readings.count() == 2


def test_a_sensors_file_is_kept_and_names_what_it_left_out(studio):
    cabinet, instrument, user = studio
    days = [ASSESSED + n * DAY for n in range(60, 90)]
    lines = [f"{day} 12:00,{0.8 + 0.01 * (n % 3):.2f}" for n, day in enumerate(days)]
    lines[4] = f"{days[4]} 12:00,broken"
    content = "\n".join(["time,value (ppm)", *lines]).encode()
    row = take_series(
        cabinet, user, instrument=instrument, point="exhaust", bed_number=1, content=content, name="s.csv"
    )
    (fault,) = row.summary["faults"]
    assert (fault["row"], fault["column"], fault["found"]) == (6, "value (ppm)", "broken")
    assert row.summary["values"] == 29
    # 30 days in blocks of 14: three readings
    assert len(earlier_readings(cabinet, filter_in(cabinet, TODAY), TODAY)) == 3
    before = StoredFile.objects.count()
    with pytest.raises(InputError) as error:
        take_series(
            cabinet, user, instrument=instrument, point="exhaust", bed_number=1, name="t.csv",
            content=b"time,value\n2026-03-04,a\nyesterday,1\n",
        )  # fmt: skip
    assert {(each.row, each.column) for each in error.value.problems} == {(2, "value"), (3, "time")}
    assert (Series.objects.count(), StoredFile.objects.count()) == (1, before)


def test_a_sensors_file_is_kept_with_its_series_or_not_at_all(studio, monkeypatch):
    cabinet, instrument, user = studio

    def fails(**_):
        raise RuntimeError("a fault of the test")

    monkeypatch.setattr(Series.objects, "create", fails)
    before = StoredFile.objects.count()
    days = [ASSESSED + n * DAY for n in range(60, 75)]
    content = "\n".join(["time,value (ppm)", *(f"{day} 12:00,0.8" for day in days)]).encode()
    with pytest.raises(RuntimeError, match="of the test"):
        take_series(
            cabinet, user, instrument=instrument, point="exhaust", bed_number=1, content=content, name="s.csv"
        )
    assert StoredFile.objects.count() == before


def sensor_file(studio, lines, name="s.csv"):
    cabinet, instrument, user = studio
    content = "\n".join(["time,value (ppm)", *lines]).encode()
    return take_series(
        cabinet, user, instrument=instrument, point="exhaust", bed_number=1, content=content, name=name, until=TODAY
    )  # fmt: skip


def test_a_sensors_file_sent_twice_and_one_that_goes_on_count_each_day_once(studio):
    """A sensor's export begins at its first day each month: 28 days, then 56 with the same 28 again: four fortnights."""
    cabinet = studio[0]
    lines = [f"{ASSESSED + n * DAY} 12:00,{0.5 if n < 28 else 0.7}" for n in range(30, 86)]
    first = sensor_file(studio, lines[:28])
    assert sensor_file(studio, lines[:28]) == first and Series.objects.count() == 1
    sensor_file(studio, lines, "later.csv")
    read = earlier_readings(cabinet, filter_in(cabinet, TODAY), TODAY)
    assert len(read) == 4 and {item.series for item in read} == {"later.csv"}
    answer = Series.objects.order_by("pk").last().summary["answer"]
    assert "Earlier readings on it: 0" in answer["words"][-1], "the first file's days are the second's"


def test_the_days_of_a_file_are_not_read_from_it_at_every_visit(studio, monkeypatch):
    from stillroom.services import visit as verb

    lines = [f"{ASSESSED + n * DAY} 12:00,{'<0.5' if n < 80 else 0.8}" for n in range(60, 100)]
    sensor_file(studio, lines)
    cabinet = studio[0]

    def told():
        read = earlier_readings(cabinet, filter_in(cabinet, TODAY), TODAY)
        return [(item.on, item.value_ppm, item.limit_ppm) for item in read]

    at_first = told()
    assert at_first[0][1:] == (None, 0.5), "below 0.5, not below the instrument's limit"
    monkeypatch.setattr(verb, "read_series", None)
    assert told() == at_first


def test_of_a_hundred_thousand_cells_at_fault_200_are_named_and_all_counted(studio):
    lines = [
        f"{ASSESSED + n // 1000 * DAY} {n % 1000 // 60:02}:{n % 60:02},{'' if n % 3 else 0.8}"
        for n in range(3000)
    ]
    lines += [f"{ASSESSED + (60 + n) * DAY} 10:00,0.8" for n in range(1100)]
    row = sensor_file(studio, [line for line in lines if line[:10] <= TODAY.isoformat()] + lines[:1] * 1500)
    assert len(row.summary["faults"]) == 200 and row.summary["cells"] > 3400


def test_an_entry_that_corrects_a_change_does_not_lose_that_days_readings(studio):
    """Read after the change, as the leak check asks; then a serial number is put right."""
    cabinet = studio[0]
    change(studio, JUNE.date())
    visit(studio, FITTING)
    change(studio, JUNE.date(), "F-9")
    assert len(earlier_readings(cabinet, filter_in(cabinet, TODAY), TODAY)) == 2


def test_a_change_starts_the_clock_anew(studio):
    cabinet = studio[0]
    visit(studio, FITTING)
    before = forecast(cabinet, JUNE.date() + DAY)
    assert (before.since, before.basis) == (ASSESSED, "readings")
    on = datetime.date(2026, 6, 20)
    row = change(studio, on)
    after = forecast(cabinet, on + DAY)
    life = math.floor(record()["label_life_days"])
    assert (after.since, after.basis) == (on, "validation")
    assert after.by == on + life * DAY
    assert (after.p50 - on).days == math.floor(record()["service_life_days"]["p50"])
    assert filter_in(cabinet, on - DAY).since == ASSESSED  # history is kept
    assert filter_in(cabinet, on).change == row
    assert earlier_readings(cabinet, filter_in(cabinet, TODAY), TODAY) == []
    assert "Earlier readings on it: 0" in together(visit(studio, FITTING, JUNE + 30 * DAY))["words"][-1]


def test_on_the_day_of_a_change_the_order_of_entry_tells_the_filter(studio):
    cabinet = studio[0]
    visit(studio, FITTING)
    change(studio, JUNE.date())
    assert earlier_readings(cabinet, filter_in(cabinet, TODAY), TODAY) == []
    visit(studio, FITTING)
    assert len(earlier_readings(cabinet, filter_in(cabinet, TODAY), TODAY)) == 2


def test_readings_bring_a_replacement_forward_and_never_put_it_off(studio):
    cabinet = studio[0]
    answer = together(visit(studio, FITTING))
    told = forecast(cabinet, JUNE.date())
    by_label = ASSESSED + math.floor(record()["label_life_days"]) * DAY
    by_readings = JUNE.date() + math.floor(answer["life"]["after"]["p05"]) * DAY
    assert told.by == min(by_label, by_readings)
    assert told.p05 == by_readings
    assert told.by < told.p05
    assert "sooner than the interval" in " ".join(told.words)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"leak_check": LeakCheck("failed", "photometer")}, "leak check failed"),
        ({"beds": [NewBed("coconut", 0.5, "X-1")]}, "not the one that was validated"),
    ],
)
def test_a_filter_that_leaks_or_is_another_has_no_date(studio, more, words):
    on = datetime.date(2026, 6, 20)
    change(studio, on, **more)
    told = forecast(studio[0], on)
    assert told.by is None
    assert words in " ".join(told.words)


def test_a_serial_number_is_put_in_once_and_dates_go_forward(studio):
    change(studio, datetime.date(2026, 6, 20))
    with pytest.raises(InputError, match="put in before"):
        change(studio, datetime.date(2026, 7, 20))
    with pytest.raises(InputError, match="later change"):
        change(studio, datetime.date(2026, 5, 20), "F-2")
    with pytest.raises(InputError, match="future"):
        change(studio, TODAY + DAY, "F-3")
    change(studio, datetime.date(2026, 6, 20))  # the same day again corrects it
    assert FilterChange.objects.count() == 2


def test_what_the_filter_took_up_by_hand(studio):
    """Ten days, before anything comes through: flow × concentration × time of the room's limonene.

    0.4 mg/m³ × flow × 240 h. Tolerance: the room's vapours spread by a factor of 2 (90 %), σ = 0.42, so the median of
    400 draws or more is known within 3 × 1.25 σ/√400 = 8 %; the seal lets some per cent by.
    """
    cabinet = studio[0]
    asked = asked_of(standing_in(cabinet, TODAY).assessment, ASSESSED)
    held = held_by(asked, 10.0)
    flow_m3_h = inputs()["cabinet"]["cabinet"]["flow_m3_h"]
    by_hand = 0.4e-3 * flow_m3_h * 240.0
    room = np.median(held.room["5989-27-5"])
    assert room == pytest.approx(by_hand, rel=0.12)


def test_a_filter_holds_no_more_than_it_can(studio):
    """Ethanol is held weakly: long after its breakthrough ten times the time brings nothing more."""
    cabinet = studio[0]
    asked = asked_of(standing_in(cabinet, TODAY).assessment, ASSESSED)
    early, late = held_by(asked, 1_000.0), held_by(asked, 10_000.0)
    assert late.total["64-17-5"] == pytest.approx(early.total["64-17-5"], rel=0.02)
    month, quarter = (np.median(held_by(asked, days).total["5989-27-5"]) for days in (30.0, 90.0))
    assert quarter / month == pytest.approx(3.0, rel=0.02)  # limonene is not through yet: all of it stays


def test_the_spent_filters_sheet(studio):
    first = change(studio, datetime.date(2026, 6, 20))
    put_in = sum(bed["weighed_g"] for bed in first.stack)
    second = change(studio, datetime.date(2026, 10, 20), "F-2", removed_mass_g=put_in + 5000.0)
    sheet = spent_filter(second)
    assert (sheet["since"], sheet["date"], sheet["days"]) == ("2026-06-20", "2026-10-20", 122)
    assert [bed["serial"] for bed in sheet["beds"]] == [bed["serial"] for bed in first.stack]
    assert sheet["weighing"]["gain_g"] == pytest.approx(5000.0)
    assert "more than the vapours computed" in sheet["weighing"]["words"]
    grams = {row["cas"]: row["grams"] for row in sheet["substances"]}
    assert grams["5989-27-5"]["p05"] < grams["5989-27-5"]["p50"] < grams["5989-27-5"]["p95"]
    toluene = next(row for row in sheet["substances"] if row["cas"] == "108-88-3")
    assert any("flammable" in words for words in toluene["hazards"])
    assert {text.split(":")[0] for text in sheet["questions"]} >= {"Fire", "Vapours", "Waste", "Spills"}
    # the filter before the first recorded change: since the assessment, serials unknown
    assert spent_filter(first)["since"] == ASSESSED.isoformat()


@pytest.mark.parametrize(
    ("put_in", "words"),
    [
        (lambda bed: NewBed(bed.medium, 0.6 * bed.mass_kg, "L-1"), "were validated"),
        (lambda bed: NewBed("impregnated-acid", bed.mass_kg, "L-1"), "bed 1 is impregnated-acid"),
        (lambda bed: NewBed(bed.medium, 1.5 * bed.mass_kg, "L-1"), "are in it"),
        (lambda bed: bed, ""),
    ],
)
def test_a_spent_filter_that_was_not_the_one_validated_says_so(studio, put_in, words):
    """The grams are those of the validated beds: whoever disposes of another filter must know."""
    as_validated = beds("F-1")
    change(studio, datetime.date(2026, 6, 20), beds=[put_in(as_validated[0]), *as_validated[1:]])
    sheet = spent_filter(change(studio, datetime.date(2026, 10, 20), "F-2"))
    assert words in sheet["unlike"] and bool(words) == bool(sheet["unlike"])
