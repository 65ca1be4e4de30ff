"""A fixed sensor's file: encodings, separators, faults with their cells, daily medians, gaps."""

import datetime

import pytest

from stillroom.errors import InputError
from stillroom.monitoring.readings import Instrument
from stillroom.monitoring.series import as_readings, read_series

SENSOR = Instrument("s", "invented sensor", 0.01)


def day(number: int, month: int = 3) -> datetime.date:
    return datetime.date(2026, month, number)


def test_daily_medians_by_hand() -> None:
    text = "time,value,unit\n2026-03-01 08:00,0.1,ppm\n2026-03-01 12:00,0.3,ppm\n2026-03-01 16:00,0.2,ppm\n2026-03-02T08:00:00Z,400,ppb\n"
    found = read_series(text.encode(), "s.csv")
    assert [(each.on, each.median_ppm, each.count) for each in found.days] == [
        (day(1), 0.2, 3),
        (day(2), pytest.approx(0.4), 1),
    ]
    assert (found.values, found.faults, found.gaps) == (4, (), ())


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("mark", [";", "\t"])
def test_encodings_and_separators_of_an_inventory(encoding: str, mark: str) -> None:
    rows = [["Zeit", "Wert (µg/m³)"], ["04.03.2026 10:00", "22,95"], ["05.03.2026 10:00", "45,9"]]
    found = read_series("\r\n".join(mark.join(row) for row in rows).encode(encoding), "s.csv")
    # 56.11 g/mol, 24.465 L/mol: 22.95 µg/m³ are 0.010007 ppm
    assert [each.median_ppm for each in found.days] == pytest.approx([0.010007, 0.020014], rel=1e-3)
    assert [each.on for each in found.days] == [day(4), day(5)]
    assert dict(found.reading)["unit"] == "µg/m³"


def test_faults_stand_with_row_and_column_and_nothing_is_guessed() -> None:
    text = "time;value (ppm)\n2026-03-01;0,1\n2026-03-02;fault\nyesterday;0,2\n2026-03-04;\n2026-03-05;0,5\n2026-03-06;0,6\n2026-03-07;0,7\n"
    found = read_series(text.encode(), "s.csv")
    assert [(each.row, each.column, each.found) for each in found.faults] == [
        (3, "value (ppm)", "fault"),
        (4, "time", "yesterday"),
        (5, "value (ppm)", ""),
    ]
    assert [each.on.day for each in found.days] == [1, 5, 6, 7]
    assert found.gaps == ((day(2), day(4)),)


def test_more_faults_than_values_are_refused_with_every_place() -> None:
    text = "time,value\n2026-03-01,x\n2026-03-02,y\n2026-03-03,0.5\n"
    with pytest.raises(InputError) as caught:
        read_series(text.encode(), "s.csv")
    assert [each.row for each in caught.value.problems] == [2, 3]


def test_duplicates() -> None:
    text = (
        "time,value\n2026-03-01 10:00,0.1\n2026-03-01 10:00,0.1\n2026-03-01 11:00,0.2\n2026-03-01 11:00,0.4\n"
    )
    found = read_series(text.encode(), "s.csv")
    assert [(each.row, "same" in each.what) for each in found.duplicates] == [(3, True), (5, False)]
    assert (found.days[0].count, found.days[0].median_ppm) == (3, 0.2)


def test_below_the_limit_is_kept_as_that() -> None:
    text = (
        "time,value\n2026-03-01 1:00,<0.02\n2026-03-01 2:00,0.001\n2026-03-01 3:00,0.5\n2026-03-02 1:00,0.5\n".replace(
            " 1:", " 01:"
        )
        .replace(" 2:", " 02:")
        .replace(" 3:", " 03:")
    )
    found = read_series(text.encode(), "s.csv", detection_limit_ppm=0.01)
    assert [each.median_ppm for each in found.days] == [None, 0.5]


def test_day_and_month_are_not_guessed() -> None:
    with pytest.raises(InputError, match="day and month"):
        read_series(b"time,value\n03/04/2026,0.1\n", "s.csv")
    found = read_series(b"time,value\n03/04/2026,0.1\n03/14/2026,0.2\n", "s.csv")
    assert [each.on for each in found.days] == [day(4), day(14)]
    found = read_series(b"time,value\n03/04/2026,0.1\n13/04/2026,0.2\n", "s.csv")
    assert [each.on for each in found.days] == [day(3, 4), day(13, 4)]


@pytest.mark.parametrize("data", [b"", b"a,b\n1,2\n", b"time,value\n", b"\x89PNG\r\n"])
def test_what_is_no_series_is_refused(data: bytes) -> None:
    with pytest.raises(InputError):
        read_series(data, "s.csv")


def test_an_unknown_unit_is_a_fault_in_its_column() -> None:
    text = "time,value,unit\n2026-03-01,0.1,ppm\n2026-03-02,0.1,%LEL\n"
    found = read_series(text.encode(), "s.csv")
    assert [(each.row, each.column, each.found) for each in found.faults] == [(3, "unit", "%LEL")]


def test_a_block_is_one_reading_on_the_day_in_its_middle() -> None:
    rows = [f"{day(1) + datetime.timedelta(days=n)},{0.1 + n / 100}" for n in range(20)]
    found = read_series("\n".join(["time,value", *rows]).encode(), "s.csv")
    readings = as_readings(found, point="exhaust", instrument=SENSOR)
    assert [(each.on, each.value_ppm) for each in readings] == [
        (day(8), pytest.approx(0.165)),
        (day(18), pytest.approx(0.265)),
    ]
    assert {each.series for each in readings} == {"s.csv"}


def medians(text: str, **more: float) -> list[float | None]:
    return [each.median_ppm for each in read_series(text.encode(), "s.csv", **more).days]


@pytest.mark.parametrize("code", ["-999", "-9999", "-1"])
def test_an_error_code_is_no_clean_air(code: str) -> None:
    """A dead sensor writes a number below zero; noise about zero stays within the detection limit."""
    rows = [f"2026-03-01 10:{n:02},{code if n < 2 else 0.4}" for n in range(6)]
    found = read_series("\n".join(["time,value", *rows]).encode(), "s.csv", detection_limit_ppm=0.01)
    assert [(each.row, each.column, each.found) for each in found.faults] == [
        (2, "value", code),
        (3, "value", code),
    ]
    assert [(each.median_ppm, each.count) for each in found.days] == [(0.4, 4)]
    with pytest.raises(InputError, match="below zero"):
        read_series(f"time,value\n2026-03-01 10:00,{code}\n".encode(), "s.csv", detection_limit_ppm=0.01)
    assert medians("time,value\n2026-03-01 10:00,-0.004\n", detection_limit_ppm=0.01) == [None]


def test_less_than_half_a_ppm_is_not_less_than_the_instrument_can_see() -> None:
    """ "< 0.5" says nothing of 0.01: it is kept as below 0.5, day and fortnight."""
    text = "time,value\n2026-03-01 10:00,<0.5\n2026-03-02 10:00,<0.5\n2026-03-03 10:00,0.002\n"
    found = read_series(text.encode(), "s.csv", detection_limit_ppm=0.01)
    assert [(each.median_ppm, each.limit_ppm) for each in found.days] == [
        (None, 0.5),
        (None, 0.5),
        (None, 0.01),
    ]
    (reading,) = as_readings(found, point="exhaust", instrument=SENSOR)
    assert reading.below and reading.limit_ppm == 0.5
    text = "time,value\n2026-03-01 10:00,<0.5\n2026-03-01 11:00,0.1\n2026-03-01 12:00,0.1\n"
    (only,) = read_series(text.encode(), "s.csv", detection_limit_ppm=0.01).days
    assert (only.median_ppm, only.limit_ppm) == (None, 0.5), "two of 0.1 and one of anything under 0.5"


def test_date_and_time_in_two_columns_are_one_moment() -> None:
    """By hand: 0.1 three times, 5 and 6: the median is 0.1; dates alone would leave two of the three out."""
    rows = [
        "04.03.2026;10:00;0,1",
        "04.03.2026;11:00;0,1",
        "04.03.2026;9:30;0,1",
        "04.03.2026;13:00;5",
        "04.03.2026;14:00;6",
    ]
    for header in ("Datum;Uhrzeit;Wert", "Date;Time;ppm"):
        found = read_series("\n".join([header, *rows]).encode(), "s.csv")
        assert (found.values, found.duplicates) == (5, ())
        assert [(each.on, each.median_ppm) for each in found.days] == [(day(4), 0.1)]
    swapped = "time,date,ppm\n10:00,2026-03-04,0.1\n11:00,2026-03-04,0.3\n"
    assert [each.count for each in read_series(swapped.encode(), "s.csv").days] == [2]


@pytest.mark.parametrize(
    "written",
    [
        "2026-03-04 9:05",
        "4.3.2026 9:05",
        "14/3/2026 9:05:00",
        "3/14/2026 9:05:00 AM",
        "3/14/2026 09:05 a.m.",
        "2026-03-04T9:05Z",
    ],
)
def test_clocks_as_spreadsheets_write_them(written: str) -> None:
    found = read_series(f"time;ppm\n{written};0.1\n".encode(), "s.csv")
    assert [each.on.month for each in found.days] == [3] and not found.faults


def test_noon_and_midnight_of_a_twelve_hour_clock() -> None:
    text = "time,ppm\n3/14/2026 12:30:00 AM,0.1\n3/14/2026 12:30:00 PM,0.2\n3/14/2026 11:59:00 PM,0.3\n3/15/2026 13:00:00 PM,0.3\n"
    found = read_series(text.encode(), "s.csv")
    assert [(each.on.day, each.count) for each in found.days] == [(14, 3)] and not found.duplicates
    assert [each.row for each in found.faults] == [5], "there is no 13 PM"


def test_the_hour_that_comes_twice_is_no_repetition_where_the_zone_is_told() -> None:
    """25 October 2026, 02:30 in central Europe: first summer time, then winter time."""
    text = "time,ppm\n2026-10-25T02:30+02:00,0.1\n2026-10-25T02:30+01:00,0.1\n2026-10-25T02:30+01:00,0.1\n"
    found = read_series(text.encode(), "s.csv")
    assert (found.values, [each.row for each in found.duplicates]) == (2, [4])


def test_a_row_of_tomorrow_is_a_fault() -> None:
    text = "time,ppm\n2026-03-04 10:00,0.1\n2226-03-04 10:00,0.1\n"
    found = read_series(text.encode(), "s.csv", until=day(5))
    assert [each.on for each in found.days] == [day(4)]
    assert [(each.row, each.what) for each in found.faults] == [(3, "the time lies in the future")]
