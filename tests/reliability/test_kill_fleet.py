"""A fleet run killed without warning at random moments and taken up again each time: no row without its record, nothing
half-written counts, no process stays behind, and in the end every byte is that of an undisturbed run.

``python -m benchmarks.kill`` does it twenty times; here as often as keeps this short.
"""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from stillroom import fleet

TIMES = int(os.environ.get("STILLROOM_KILLS", "3"))
FOLDERS = 2 * TIMES
START_UP_S = 2.5
"""About as long as loading takes, in which nothing is answered yet."""
SAME = ["--draws", "100", "--date", "2026-11-02", "--invented"]


def command(folder: Path, out: Path, workers: int) -> list[str]:
    program = str(Path(sys.executable).with_name("stillroom"))
    return [program, "fleet", "assess", str(folder), "--out", str(out), "--workers", str(workers), *SAME]


def run(folder: Path, out: Path, workers: int) -> dict[str, object]:
    """The whole answer of a run that nobody disturbs."""
    done = subprocess.run(
        [*command(folder, out, workers), "--json"], capture_output=True, text=True, timeout=300
    )
    assert done.returncode in (0, 1, 3), done.stderr
    return json.loads(done.stdout)


def rows(out: Path) -> dict[str, dict[str, object]]:
    """Every row that counts: each whole, with its record whole beside it and the same answer in both."""
    found = {}
    for path in out.rglob("row.json"):
        row = json.loads(path.read_bytes())
        record = json.loads((path.parent / "record.json").read_bytes())
        assert (row["name"], row["verdict"]) == (path.parent.name, record["verdict"])
        assert row["life_days_p05"] == record["service_life_days"]["p05"]
        found[row["name"]] = row
    return found


def kept(out: Path) -> dict[str, bytes]:
    """What a run leaves to its user, by name."""
    return {path.relative_to(out).as_posix(): path.read_bytes() for path in out.rglob("*") if path.is_file()}


def in_session(session: int) -> list[int]:
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


def kill_once(folder: Path, out: Path, chance: random.Random) -> bool:
    """Start or go on, and kill: while loading, or some time after one or two more answers. Whether it was in time."""
    before = len(list(out.rglob("row.json")))
    more = chance.choice((0, 1, 1, 2, 2))
    cut = subprocess.Popen(
        command(folder, out, 2), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, start_new_session=True
    )
    assert cut.stderr
    for _ in range(before + more if more else 0):
        if not cut.stderr.readline():
            break
    time.sleep(chance.uniform(0, 0.5 if more else START_UP_S))
    in_time = cut.poll() is None
    os.kill(cut.pid, signal.SIGKILL)
    cut.wait()
    cut.stderr.close()
    until = time.monotonic() + 20
    while (left := in_session(cut.pid)) and time.monotonic() < until:
        time.sleep(0.05)
    assert left == [], "a process stayed behind"
    return in_time


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="which processes live is read from /proc")
def test_killed_and_taken_up_again(tmp_path):
    folder, out, calm = tmp_path / "in", tmp_path / "out", tmp_path / "calm"
    fleet.make(folder, count=FOLDERS, seed=20261125)
    undisturbed = run(folder, calm, 2)
    chance = random.Random(20261125)
    counted: dict[str, dict[str, object]] = {}
    in_time = 0
    for _ in range(TIMES):
        in_time += kill_once(folder, out, chance)
        now = rows(out)
        assert counted.items() <= now.items(), "what was answered stays answered"
        counted = now
    print(f"fleet: {in_time} of {TIMES} kills while it ran; {len(counted)} of {FOLDERS} answered by then")
    assert in_time >= TIMES * 0.8, "too many runs were through before they were killed"
    assert run(folder, out, 2) == undisturbed
    assert kept(out).keys() - kept(calm).keys() <= {name for name in kept(out) if name.endswith(".part")}
    assert {name: kept(out)[name] for name in kept(calm)} == kept(calm)


def test_a_part_left_by_a_kill_is_not_taken_for_an_answer(tmp_path):
    fleet.make(tmp_path / "in", count=2, seed=1)
    whole = run(tmp_path / "in", tmp_path / "out", 1)
    place = tmp_path / "out" / "000001"
    shutil.move(place / "row.json", place / ".row.json.1.part")
    (place / "record.json").write_bytes((place / "record.json").read_bytes()[:1000])
    assert run(tmp_path / "in", tmp_path / "out", 1) == whole
    assert json.loads((place / "record.json").read_bytes())["number"] == whole["cabinets"][0]["number"]
