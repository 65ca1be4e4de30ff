"""The files: read back by other programs' readers (icalendar, csv, calamine), and hard words in every cell."""

from __future__ import annotations

import csv
import datetime
import io
import zipfile
from zoneinfo import ZoneInfo

import icalendar
import pytest
import python_calamine
from hypothesis import given
from hypothesis import strategies as st

from stillroom.services.calendar import Event, calendar
from stillroom.services.due import KINDS, Due
from stillroom.services.due_files import COLUMNS, as_calendar, as_csv, as_xlsx

TODAY = datetime.date(2026, 12, 4)
STAMP = datetime.datetime(2026, 12, 4, 9, 30, tzinfo=datetime.UTC)
HARD = [
    "=HYPERLINK(\"http://invented.invalid\")", "+1", "-2+3", "@SUM(A1)", "\t=1+1", "comma, semicolon; backslash \\ colon: done",
    "two\nlines", "Größe für Öl, 試薬棚 🧪", "quote \" and '", "x" * 200, "é" * 100, "🧪" * 60,
]  # fmt: skip


def item(name="North", kind="visit", days=5, **more):
    date = TODAY + datetime.timedelta(days=days)
    given = {
        "site": "Works",
        "room": "1.14",
        "place": "window",
        "what": "Visit and read",
        "why": "the last was long ago",
    } | more
    return Due(kind, "abc123abc123", name, date=date, days=days, **given)


def link(one):
    return f"https://stillroom.invalid/cabinets/{one.subject}/"


def written(items, **more):
    return as_calendar(items, stamp=STAMP, today=TODAY, name="Due: Works (invented)", link=link, **more)


def read(content):
    """By another program's parser; strictly: what it cannot read is an error."""
    found = icalendar.Calendar.from_ical(content)
    assert found.errors == [] and all(event.errors == [] for event in found.walk("VEVENT"))
    return found


@pytest.mark.parametrize("words", HARD)
def test_a_calendar_program_reads_the_words_as_they_were(words):
    (event,) = read(written([item(name=words, why=words)])).walk("VEVENT")
    assert str(event["SUMMARY"]) == f"Visit and read: {words}"
    assert str(event["DESCRIPTION"]) == f"{words}."
    assert str(event["URL"]) == "https://stillroom.invalid/cabinets/abc123abc123/"


@given(st.text(alphabet=st.characters(exclude_categories=("Cs", "Cc")), max_size=300))
def test_any_text_comes_back_and_no_line_is_too_long(words):
    content = calendar([Event("a", TODAY, TODAY, words, words, words)], stamp=STAMP, name=words)
    (event,) = read(content).walk("VEVENT")
    assert str(event["SUMMARY"]) == words
    lines = content.split(b"\r\n")
    assert lines[-1] == b"" and max(map(len, lines)) <= 75, "RFC 5545, section 3.1"
    assert all(b"\n" not in line and b"\r" not in line for line in lines)
    assert all(line.decode() for line in lines[:-1]), "no character is cut"


def test_whole_days_stable_keys_and_the_stamp_that_was_given():
    found = read(written([item(kind=kind) for kind in KINDS]))
    events = found.walk("VEVENT")
    assert len({str(event["UID"]) for event in events}) == len(KINDS) == len(events)
    assert str(events[0]["UID"]) == "validation-abc123abc123@stillroom"
    for event in events:
        assert event["DTSTAMP"].dt == STAMP
        assert event["DTSTART"].dt == TODAY + datetime.timedelta(days=5)
        assert event["DTEND"].dt - event["DTSTART"].dt == datetime.timedelta(days=1)
        assert event["TRANSP"] == "TRANSPARENT"
    assert found["VERSION"] == "2.0" and found["PRODID"]


def test_a_stamp_of_another_time_zone_is_written_in_utc():
    stamp = datetime.datetime(2026, 12, 4, 17, 30, tzinfo=ZoneInfo("Asia/Kuala_Lumpur"))
    content = calendar([Event("a", TODAY, TODAY, "s")], stamp=stamp, name="n")
    assert b"DTSTAMP:20261204T093000Z" in content


def test_what_is_overdue_lasts_until_today():
    (event,) = read(written([item(days=-12)])).walk("VEVENT")
    assert event["DTSTART"].dt == TODAY - datetime.timedelta(days=12)
    assert event["DTEND"].dt == TODAY + datetime.timedelta(days=1), "DTEND is the day after the last"
    assert "Overdue since 2026-11-22" in str(event["SUMMARY"])


def test_the_same_bytes_each_time():
    assert written([item(), item(days=-1)]) == written([item(), item(days=-1)])
    one, two = (as_xlsx([item()], link=link, made=STAMP) for _ in range(2))
    assert one == two


@pytest.mark.parametrize("words", HARD)
def test_no_cell_of_a_csv_begins_a_formula(words):
    content = as_csv([item(name=words, site=words, what=words, why=words)], link=link)
    header, row = csv.reader(io.StringIO(content.decode("utf-8-sig"), newline=""))
    assert tuple(header) == COLUMNS
    assert not any(
        cell.startswith(("=", "+", "@", "\t", "\r")) or (cell[:1] == "-" and not cell[1:].isdigit())
        for cell in row
    )
    assert row[3].removeprefix("'") == words
    assert row[0] == "2026-12-09" and row[1] == "5"


@pytest.mark.parametrize("words", HARD)
def test_no_cell_of_a_workbook_is_a_formula(words):
    content = as_xlsx([item(name=words, why=words, days=-3)], link=link, made=STAMP)
    with zipfile.ZipFile(io.BytesIO(content)) as parts:
        sheet = parts.read("xl/worksheets/sheet1.xml").decode()
        assert "<f>" not in sheet and "<f " not in sheet and "hyperlink" not in sheet
        assert not any("externalLink" in name for name in parts.namelist())
    header, row = (
        python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(content))
        .get_sheet_by_name("Due")
        .to_python()
    )
    assert tuple(header) == COLUMNS
    assert row[0] == TODAY - datetime.timedelta(days=3) and row[1] == -3
    assert row[3] == words and row[8] == words
