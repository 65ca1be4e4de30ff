"""Many cabinets: found in folders, answered in any order, resumed after a cut, told in one table."""

import csv
import io
import json
import os
import signal
import subprocess
import sys
import time
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom import fleet
from stillroom.errors import InputError
from stillroom.services.assess import assess
from stillroom.services.fleet import Options, assess_folder
from stillroom.units.files import plain_cell

DAY = date(2026, 11, 2)
OPTIONS = Options(DAY, draws=100, invented=True)


@pytest.fixture(scope="module")
def laboratories(tmp_path_factory):
    folder = tmp_path_factory.mktemp("fleet") / "cabinets"
    fleet.make(folder, count=4, seed=7)
    return folder


def test_a_folder_each_and_what_is_common_above(tmp_path):
    (tmp_path / "north" / "one").mkdir(parents=True)
    (tmp_path / "north" / "two").mkdir()
    (tmp_path / "room.toml").write_text("top")
    (tmp_path / "north" / "cabinet.toml").write_text("north's")
    for name in ("one", "two"):
        (tmp_path / "north" / name / "inventory.csv").write_text("name,cas,amount,unit\n")
    (tmp_path / "north" / "two" / "room.toml").write_text("its own")
    one, two = fleet.find(tmp_path)
    assert (one.name, two.name) == ("north/one", "north/two")
    assert one.room == tmp_path / "room.toml"
    assert two.room == tmp_path / "north" / "two" / "room.toml"
    assert one.cabinet == two.cabinet == tmp_path / "north" / "cabinet.toml"


def test_what_is_above_the_fleet_is_not_taken(tmp_path):
    (tmp_path / "room.toml").write_text("outside")
    place = tmp_path / "fleet" / "one"
    place.mkdir(parents=True)
    (place / "inventory.csv").write_text("")
    with pytest.raises(InputError, match=r"no cabinet\.toml and no room\.toml"):
        fleet.find(tmp_path / "fleet")


@pytest.mark.parametrize(
    ("made", "says"), [((), "holds no inventory"), (("inventory.csv", "inventory.xlsx"), "two")]
)
def test_a_wrong_fleet_says_what_to_do(tmp_path, made, says):
    for name in made:
        (tmp_path / name).write_text("")
    with pytest.raises(InputError, match=says):
        fleet.find(tmp_path)


def test_each_row_is_what_the_cabinet_alone_gives(laboratories, tmp_path):
    from stillroom.cabinet import load as load_cabinet
    from stillroom.inventory import read
    from stillroom.room import load as load_room

    rows = assess_folder(laboratories, tmp_path, OPTIONS)
    for row in rows[:2]:
        place = laboratories / row["name"]
        room, cabinet = load_room(place / "room.toml"), load_cabinet(place / "cabinet.toml")
        alone = assess(
            read(place / "inventory.csv"),
            cabinet,
            room,
            date=DAY,
            draws=100,
            title=f"{room.name} · {cabinet.name}",
            invented=True,
        )
        kept = json.loads((tmp_path / row["name"] / "record.json").read_text("utf-8"))
        assert kept == json.loads(json.dumps(alone))
        assert row["verdict"] == alone["verdict"]
        assert row["life_days_p05"] == alone["service_life_days"]["p05"]
    table = list(csv.DictReader(io.StringIO((tmp_path / "fleet.csv").read_text("utf-8-sig"))))
    assert [line["name"] for line in table] == [row["name"] for row in rows]
    assert [line["verdict"] for line in table] == [row["verdict"] for row in rows]


def test_processes_give_the_same_bytes_as_one(laboratories, tmp_path):
    assess_folder(laboratories, tmp_path / "one", OPTIONS)
    assess_folder(laboratories, tmp_path / "two", OPTIONS, workers=2)
    for path in sorted((tmp_path / "one").rglob("*.*")):
        assert path.read_bytes() == (tmp_path / "two" / path.relative_to(tmp_path / "one")).read_bytes()


def test_what_is_answered_is_not_asked_again_unless_its_files_changed(laboratories, tmp_path):
    import shutil

    folder, out = tmp_path / "in", tmp_path / "out"
    shutil.copytree(laboratories, folder)
    assess_folder(folder, out, OPTIONS)
    before = {path: path.stat().st_mtime_ns for path in out.rglob("row.json")}
    room = folder / "000002" / "room.toml"
    room.write_text(room.read_text().replace("relative_humidity = 0.", "relative_humidity = 0.0"))
    assess_folder(folder, out, OPTIONS)
    changed = {path.parent.name for path in out.rglob("row.json") if path.stat().st_mtime_ns != before[path]}
    assert changed == {"000002"}


def test_a_row_cut_off_is_made_again(laboratories, tmp_path):
    first = assess_folder(laboratories, tmp_path, OPTIONS)
    (tmp_path / "000001" / "row.json").write_text('{"name": "000001", "verd')
    (tmp_path / "000003" / "row.json").unlink()
    assert assess_folder(laboratories, tmp_path, OPTIONS) == first


def test_one_wrong_cabinet_is_named_and_the_others_go_on(laboratories, tmp_path):
    import shutil

    folder = tmp_path / "in"
    shutil.copytree(laboratories, folder)
    assess_folder(folder, tmp_path / "out", OPTIONS)
    own = tmp_path / "out" / "000002"
    (own / "notes.txt").write_text("somebody's own")
    (own / ".record.json.4711.part").write_text("left by a kill")
    (folder / "000002" / "inventory.csv").write_text("name,cas,amount,unit\nToluene,108-88-4,1,L\n")
    rows = assess_folder(folder, tmp_path / "out", OPTIONS)
    assert {path.name for path in own.iterdir()} == {"row.json", "notes.txt"}, (
        "no older record stays beside it"
    )
    assert "108-88-4" in rows[1]["fault"]
    assert rows[1]["exit_status"] == 2
    assert [row["name"] for row in rows if row["verdict"] == "input wrong"] == ["000002"]


def test_answers_do_not_go_among_the_questions(laboratories):
    with pytest.raises(InputError, match="inside"):
        assess_folder(laboratories, laboratories / "out", OPTIONS)


@pytest.mark.parametrize("workers", [1, 2])
def test_a_killed_run_goes_on_and_leaves_no_process_behind(laboratories, tmp_path, workers):
    program = str(Path(sys.executable).with_name("stillroom"))
    command = [program, "fleet", "assess", str(laboratories)]
    command += [
        "--out",
        str(tmp_path),
        "--workers",
        str(workers),
        "--draws",
        "100",
        "--date",
        "2026-11-02",
        "--invented",
    ]
    cut = subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True
    )
    for _ in range(600):
        if list(tmp_path.rglob("row.json")) or cut.poll() is not None:
            break
        time.sleep(0.1)
    os.kill(cut.pid, signal.SIGKILL)
    cut.wait()
    for path in tmp_path.rglob("row.json"):
        assert json.loads(path.read_text("utf-8"))["name"] == path.parent.name
        assert (path.parent / "record.json").stat().st_size > 1000
    for _ in range(100):
        if not _in_session(cut.pid):
            break
        time.sleep(0.1)
    assert _in_session(cut.pid) == []
    rows = assess_folder(laboratories, tmp_path, OPTIONS)
    assert len(rows) == 4
    assert all(row["verdict"] for row in rows)


def _in_session(session: int) -> list[int]:
    """Living processes of a session."""
    found = []
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            words = path.read_text().rsplit(")", 1)[1].split()
        except OSError:
            continue
        if int(words[3]) == session and words[0] != "Z":
            found.append(int(path.parent.name))
    return found


def test_same_seed_same_files(tmp_path):
    for name in ("a", "b"):
        fleet.make(tmp_path / name, count=3, seed=11)
    for path in (tmp_path / "a").rglob("*.*"):
        assert path.read_bytes() == (tmp_path / "b" / path.relative_to(tmp_path / "a")).read_bytes()
        assert "nvented" in path.read_text("utf-8")


def test_invented_cabinets_never_overwrite(tmp_path):
    (tmp_path / "mine.txt").write_text("precious")
    with pytest.raises(InputError, match="holds something"):
        fleet.make(tmp_path, count=1, seed=1)


@given(st.text(max_size=30))
def test_no_cell_starts_a_formula(text):
    # OWASP ASVS 5.0.0, 1.2.10: = + - @ tab and NUL are escaped with an apostrophe.
    cell = plain_cell(text)
    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "\0"))
    assert cell in (text, "'" + text)


def test_numbers_stay_numbers():
    assert plain_cell(-3.5) == -3.5
    assert plain_cell(None) == ""
