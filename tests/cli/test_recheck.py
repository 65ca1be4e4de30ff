"""`stillroom limits load`, then `stillroom recheck`, as they are called: on a data directory of their own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(bool(os.environ.get("DATABASE_URL")), reason="on SQLite files of their own")

MAKE = """
import sys
sys.path.insert(0, {tests!r})
from stillroom.web.serve import prepare
prepare({data!r})
from services.kept import keep
from stillroom.records import models, store
user = store.first_user(username="ada", full_name="Ada", password_hash="!", organisation="Invented Works")
organisation = models.Organisation.objects.get()
keep(organisation, user, "Toluene", "Toluene,108-88-3,2.5,L,2\\n", "works")
keep(organisation, user, "Acetone", "Acetone,67-64-1,0.25,L,1\\n", "uk-eh40")
"""


def run(data, *arguments, code="from stillroom.cli.main import main; main()"):
    kept = {
        name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "STILLROOM_LIMITS")
    }
    return subprocess.run(
        [sys.executable, "-c", code, *arguments],
        env=kept | {"STILLROOM_DATA": str(data), "STILLROOM_SECRET_KEY": "a test's own, not secret"},
        capture_output=True, text=True, encoding="utf-8", timeout=120, check=False,
    )  # fmt: skip


def write(folder, toluene, edition):
    from services.kept import LIST

    file = folder / f"works-{edition}.csv"
    file.write_text(LIST.format(toluene=toluene, edition=edition), "utf-8")
    return str(file)


@pytest.fixture(scope="module")
def data(tmp_path_factory):
    folder = tmp_path_factory.mktemp("data")
    loaded = run(folder, "limits", "load", write(folder, 1, "1"), "--confirmed")
    assert loaded.returncode == 0, loaded.stderr
    assert (folder / "limits" / "works.csv").is_file()
    done = run(folder, code=MAKE.format(tests=str(Path(__file__).parents[1]), data=str(folder)))
    assert done.returncode == 0, done.stderr
    return folder


def test_first_nothing_differs_then_a_tenth_of_the_limit_refuses_one_by_name(data):
    before = run(data, "recheck", "--date", "2026-11-10")
    assert before.returncode == 0, before.stderr
    assert "2 validations: 0 past their date, 0 made with what has changed" in before.stdout

    loaded = run(data, "limits", "load", write(data, 0.1, "2"), "--confirmed")
    assert "takes the place of the edition “1”" in loaded.stdout and "stillroom recheck" in loaded.stdout

    after = run(data, "recheck", "--date", "2026-11-10")
    assert after.returncode == 1, after.stderr
    assert "Validation V1: Toluene" in after.stdout and "Validation V2" not in after.stdout
    assert "TODAY: not approved (it was: approved with conditions)" in after.stdout
    assert "toluene, limit: 1 ppm TWA (works) → 0.1 ppm TWA (works)" in after.stdout

    told = run(data, "recheck", "--date", "2026-11-10", "--organisation", "Invented Works", "--json")
    assert told.returncode == 1
    rows = {row["cabinet"]["name"]: row for row in json.loads(told.stdout)["validations"]}
    assert (rows["Toluene"]["verdict_now"], rows["Acetone"]["computed"]) == ("not approved", False)

    late = run(data, "recheck", "--date", "2030-01-01")
    assert "past its date: it held until" in late.stdout


def test_an_organisation_that_is_not_there_names_those_that_are(data):
    done = run(data, "recheck", "--organisation", "Nobody")
    assert done.returncode == 2 and "Invented Works" in done.stderr


def test_a_slip_is_asked_about_before_it_is_kept(data, tmp_path):
    """EH40 has 50 ppm for toluene, OSHA 200: 90 000 is no limit."""
    done = run(tmp_path, "limits", "load", write(tmp_path, 90000, "3"))
    assert done.returncode == 2 and "--confirmed" in done.stderr and "row 6" in done.stderr
    assert not (tmp_path / "limits").exists()
