"""The demo's year as it is called: a process of its own on SQLite, its answers those of the services, its due list that of the story."""

from __future__ import annotations

import csv
import os
import shutil
import sqlite3
import stat
import subprocess
import sys
from datetime import date, timedelta
from pathlib import Path

import pytest

from stillroom.cli.year import replaceable
from stillroom.errors import InputError

TODAY = date.today() - timedelta(days=1)
"""Years end at the latest today, on any machine."""


def call(*words: str, **more: str) -> subprocess.CompletedProcess[str]:
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("STILLROOM_", "DJANGO_", "DATABASE_"))
    }
    return subprocess.run(
        [sys.executable, "-c", "from stillroom.cli.main import main; main()", *words], capture_output=True, text=True, env={**kept, **more}, timeout=600, check=False
    )  # fmt: skip


@pytest.fixture
def year(the_demo: Path) -> Path:
    assert f"stillroom serve --data {the_demo / 'year'}" in (the_demo / "printed.txt").read_text("utf-8")
    return the_demo / "year"


def story(year: Path) -> list[str]:
    return (year / "story.txt").read_text("utf-8").split("\n20")


def test_it_verifies_and_goes_on_verifying_in_the_present(year: Path, tmp_path: Path) -> None:
    first = call("audit", "verify", "--data", str(year))
    assert first.returncode == 0 and "Whole." in first.stdout, first.stdout
    copy = tmp_path / "year"
    shutil.copytree(year, copy)
    program = (
        "import sys, datetime\nfrom stillroom.web.serve import prepare\nprepare(sys.argv[1])\n"
        "from stillroom.records.models import Instrument, User\nfrom stillroom.services.instruments import add_calibration\n"
        "day = datetime.date.today()\n"
        "add_calibration(Instrument.objects.first(), User.objects.first(), on=day, due=day + datetime.timedelta(100), by='A')\n"
    )
    done = subprocess.run([sys.executable, "-c", program, str(copy)], capture_output=True, text=True, check=False)  # fmt: skip
    assert done.returncode == 0, done.stderr
    again = call("audit", "verify", "--data", str(copy))
    assert again.returncode == 0 and "Whole." in again.stdout, again.stdout


def test_times_are_the_scenario_s_and_said_to_be_invented(year: Path) -> None:
    with sqlite3.connect(year / "stillroom.sqlite3") as rows:
        first = rows.execute("SELECT at, reason FROM records_event WHERE seq = 1").fetchall()
        assert len(first) == 2 and all("invented" in reason for _, reason in first)
        assert {at[:10] for at, _ in first} == {(TODAY - timedelta(days=360)).isoformat()}
        assert rows.execute("SELECT max(at) FROM records_event").fetchone()[0][:10] < TODAY.isoformat()
        (name,) = rows.execute("SELECT name FROM records_organisation").fetchone()
        assert "invented" in name and "times" in name


def test_a_misfit_is_called_and_the_next_reading_fits(year: Path) -> None:
    """The story's own order: a loose cap and a bumped cartridge, a new filter, the leak check, readings that fit."""
    lines = [line for line in story(year) if "Workshop" in line and ("visit" in line or "leak check" in line)]
    said = [next((word for word in ("The readings fit", "Inconsistent", "leak check failed", "leak check passed")
                  if word in line), line) for line in lines]  # fmt: skip
    assert said == [
        "leak check passed", "The readings fit", "The readings fit", "Inconsistent", "leak check failed", "leak check passed",
        "The readings fit",
    ]  # fmt: skip
    assert "exhaust outside" in lines[3] and "Look first" in lines[3]
    assert "exhaust inside" in lines[-1]


def test_what_is_due_has_what_the_story_left_open(year: Path) -> None:
    rows = list(csv.DictReader((year / "due.csv").read_text("utf-8-sig").splitlines()))
    late = {row["kind"] for row in rows if int(row["days"].lstrip("'")) < 0}
    assert late >= {"visit", "calibration", "validation"}
    ahead = {row["kind"]: int(row["days"]) for row in reversed(rows) if row["days"].isdigit()}
    assert 0 <= ahead["expiry"] <= 60 and 0 <= ahead["replacement"] <= 60


def test_a_refusal_is_signed_as_one(year: Path) -> None:
    with sqlite3.connect(year / "stillroom.sqlite3") as rows:
        meanings = [
            meaning for (meaning,) in rows.execute("SELECT meaning FROM records_validation ORDER BY number")
        ]
    assert meanings.count("refused") == 1 and meanings.count("approved and responsible") == 4


def test_papers_and_log_in(year: Path) -> None:
    for name in ("label.pdf", "record.pdf", "spent.pdf", "due.xlsx", "due.ics", "difference.json"):
        assert (year / name).stat().st_size > 500, name
    assert "1-Butanol added" in (year / "difference.txt").read_text("utf-8")
    log_in = year / "log-in.txt"
    assert stat.S_IMODE(log_in.stat().st_mode) == 0o600
    people = dict(line.split("\t") for line in log_in.read_text("utf-8").splitlines())
    assert set(people) == {"mara", "tomas"} and all(len(word) >= 16 for word in people.values())


def test_only_an_earlier_demo_is_replaced(year: Path, tmp_path: Path) -> None:
    replaceable(year)
    replaceable(tmp_path / "not-there")
    own = tmp_path / "own"
    own.mkdir()
    replaceable(own)
    with sqlite3.connect(own / "stillroom.sqlite3") as database:
        database.execute("CREATE TABLE records_event (id INTEGER PRIMARY KEY, reason TEXT)")
        database.execute("INSERT INTO records_event (reason) VALUES ('the installation''s first person')")
    before = (own / "stillroom.sqlite3").read_bytes()
    for mark in (False, True):
        if mark:
            (own / "made-by-demo.txt").write_text("copied here")
        with pytest.raises(InputError, match="the demo did not make"):
            replaceable(own)
    assert (own / "stillroom.sqlite3").read_bytes() == before


def test_a_user_s_own_folder_is_refused_before_anything_is_written(tmp_path: Path) -> None:
    own = tmp_path / "year"
    own.mkdir()
    (own / "stillroom.sqlite3").write_bytes(b"")
    done = call("demo", "--out", str(tmp_path))
    assert done.returncode == 2 and "the demo did not make" in done.stderr
    assert [file.name for file in tmp_path.iterdir()] == ["year"]


def test_a_year_does_not_end_in_the_future(tmp_path: Path) -> None:
    ahead = (date.today() + timedelta(days=2)).isoformat()
    done = call("demo", "--out", str(tmp_path), "--today", ahead)
    assert done.returncode == 2 and "future" in done.stderr
    assert not list(tmp_path.iterdir())
