"""``stillroom bed``, as docs/reference/bed.md tells it."""

from __future__ import annotations

import csv
import io
import json
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "reference" / "bed.md").read_text("utf-8")
FILES = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
LINES = re.findall(r"^\$ stillroom (.+)$", PAGE, re.MULTILINE)


def run(*words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", "from stillroom.cli.main import main; main()", *words]
    return subprocess.run(
        command, cwd=folder, capture_output=True, text=True, encoding="utf-8", timeout=240, check=False
    )


@pytest.mark.parametrize("line", LINES)
def test_the_pages_lines_run(line, tmp_path):
    (tmp_path / "examples").mkdir()
    (tmp_path / "examples" / "bed.toml").write_bytes((ROOT / "examples" / "bed.toml").read_bytes())
    done = run(*shlex.split(line), folder=tmp_path)
    assert done.returncode == 0, done.stderr
    if "--json" in line:
        assert json.loads(done.stdout)["invented"] is True
    else:
        assert "invented data" in done.stdout
        head = next(csv.reader(io.StringIO((tmp_path / "curve.csv").read_text("utf-8"))))
        assert head == ["time_h", "108-88-3", "67-64-1", "110-54-3"]


def test_the_pages_python_runs(monkeypatch):
    (code,) = re.findall(r"```python\n(.*?)```", PAGE, re.DOTALL)
    monkeypatch.chdir(ROOT)
    exec(code, {})


@pytest.mark.parametrize("text", FILES, ids=("medium", "law"))
def test_the_pages_files_are_answered(text, tmp_path):
    (tmp_path / "case.toml").write_text(text, "utf-8")
    done = run("bed", "case.toml", "--out", "curve.csv", "--json", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    rows = list(csv.DictReader(io.StringIO((tmp_path / "curve.csv").read_text("utf-8"))))
    times = [float(row["time_h"]) for row in rows]
    assert times == sorted(set(times))
    for cas, found in answer["breakthrough_h"].items():
        assert set(found) == {"0.01", "0.1"}
        assert found["0.01"] <= found["0.1"]
        inlet = {"108-88-3": (1000.0, 200.0), "110-54-3": (500.0, 500.0)}[cas][FILES.index(text)]
        first = next(t for t, row in zip(times, rows, strict=True) if float(row[cas]) >= 0.1 * inlet)
        assert found["0.1"] <= first <= found["0.1"] + 0.011 * times[-1]  # the next row of the curve
    assert answer["mass_balance_error"] < 1e-10
    assert all(key in PAGE for key in answer)


def test_faults_are_2_and_what_cannot_be_told_is_3(tmp_path):
    wrong = FILES[0].replace("depth_m = 0.05", "depth_m = 0")
    (tmp_path / "wrong.toml").write_text(wrong, "utf-8")
    (tmp_path / "unknown.toml").write_text(FILES[0].replace("108-88-3", "7440-59-7"), "utf-8")
    for name, status, words in (
        ("wrong.toml", 2, "bed.depth_m"),
        ("unknown.toml", 3, "7440-59-7"),
        ("no.toml", 2, "no.toml"),
    ):
        done = run("bed", name, "--json", folder=tmp_path)
        assert done.returncode == status, done.stderr
        assert words in done.stderr
        assert done.stdout == ""
        assert "Traceback" not in done.stderr
    (tmp_path / "right.toml").write_text(FILES[1], "utf-8")
    done = run("bed", "right.toml", "--out", "nowhere/curve.csv", folder=tmp_path)
    assert done.returncode == 2
    assert "--out" in done.stderr
