"""`stillroom due` as it is called: on a data directory of its own, its files read by other programs' readers."""

from __future__ import annotations

import json
import os

import icalendar
import pytest
import python_calamine

from cli.test_recheck import data, run  # noqa: F401

pytestmark = pytest.mark.skipif(bool(os.environ.get("DATABASE_URL")), reason="on SQLite files of their own")


def test_the_list_and_the_files_hold_the_same(data, tmp_path):  # noqa: F811
    files = {name: tmp_path / f"due.{name}" for name in ("ics", "csv", "xlsx")}
    options = [word for name, file in files.items() for word in (f"--{name}", str(file))]
    done = run(data, "due", "--date", "2028-01-01", "--json", *options)
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    (organisation,) = told["organisations"]
    items = organisation["due"]
    assert {item["kind"] for item in items} >= {"visit", "expiry", "replacement"}
    assert {item["name"] for item in items} == {"Toluene", "Acetone"}
    assert all(item["overdue"] for item in items if item["kind"] == "expiry")
    assert [item["date"] for item in items] == sorted(item["date"] for item in items)

    events = icalendar.Calendar.from_ical(files["ics"].read_bytes()).walk("VEVENT")
    keys = [item["key"] for item in items]
    assert [str(event["UID"]).removesuffix("@stillroom") for event in events] == keys
    assert {str(event["DTSTAMP"].dt) for event in events} == {"2028-01-01 00:00:00+00:00"}
    rows = python_calamine.CalamineWorkbook.from_path(files["xlsx"]).get_sheet_by_name("Due").to_python()
    assert [str(row[0]) for row in rows[1:]] == [item["date"] for item in items]
    assert len(files["csv"].read_text("utf-8-sig").splitlines()) == len(items) + 1

    again = run(data, "due", "--date", "2028-01-01", "--ics", str(tmp_path / "again.ics"))
    assert again.returncode == 0 and "overdue" in again.stdout
    assert (tmp_path / "again.ics").read_bytes() == files["ics"].read_bytes(), "same day, same bytes"


def test_within_leaves_out_what_is_later(data):  # noqa: F811
    words = ("due", "--date", "2026-11-05", "--json")
    every = json.loads(run(data, *words).stdout)["organisations"][0]["due"]
    soon = json.loads(run(data, *words, "--within", "60").stdout)["organisations"][0]["due"]
    assert soon == [item for item in every if item["days"] <= 60] and len(soon) < len(every)


def test_a_folder_without_a_database_says_so(tmp_path):
    done = run(tmp_path, "due")
    assert done.returncode == 2 and "there is no database" in done.stderr


def test_spares_and_what_is_at_risk_in_words_json_and_workbook(data, tmp_path):  # noqa: F811
    """Two cabinets of the shipped kind, one bed of 8 kg each, both past every date in 2028."""
    words = ("due", "--spares", "--date", "2028-01-01", "--within", "0")
    done = run(data, *words, "--xlsx", str(tmp_path / "due.xlsx"))
    assert done.returncode == 0, done.stderr
    assert "within 0 days" in done.stdout and "At risk: 2 cabinets" in done.stdout
    (organisation,) = json.loads(run(data, *words, "--json").stdout)["organisations"]
    (row,) = organisation["spares"]["order"]
    assert (row["medium"], row["mass_kg"], row["cartridges"], row["late"]) == ("coconut", 8.0, 2, 2)
    assert {one["name"] for one in organisation["spares"]["at_risk"]} == {"Toluene", "Acetone"}
    book = python_calamine.CalamineWorkbook.from_path(tmp_path / "due.xlsx")
    assert book.sheet_names == ["Due", "Spares 0 days", "At risk"]
    assert book.get_sheet_by_name("Spares 0 days").to_python()[1][:4] == ["coconut", 8.0, 2.0, 16.0]
    none = run(data, "due", "--site", "Nowhere")
    assert none.returncode == 2 and "Nowhere" in none.stderr
