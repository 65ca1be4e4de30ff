"""Exit status and streams, as the contract of the command line fixes them (README, “Use”)."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"
SCENARIO = (
    "--cabinet",
    str(EXAMPLES / "cabinet.toml"),
    "--room",
    str(EXAMPLES / "room.toml"),
    "--date",
    "2026-11-02",
)


def run(*words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", "from stillroom.cli.main import main; main()", *words]
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", timeout=120, check=False)


def test_an_approval_is_0_and_json_stands_alone_on_standard_output() -> None:
    done = run("assess", str(EXAMPLES / "inventory.csv"), *SCENARIO, "--json")
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["verdict"] == "approved with conditions"


def test_a_refusal_is_1_and_names_what_cannot_stay() -> None:
    done = run("assess", str(EXAMPLES / "inventory-asked.csv"), *SCENARIO)
    assert done.returncode == 1, done.stderr
    for row in ("Unlabelled brown jar", "Ammonia solution", "Hydrochloric acid", "Diethyl ether"):
        assert row in done.stdout


def test_a_wrong_row_is_2_with_row_column_and_mend(tmp_path: Path) -> None:
    file = tmp_path / "wrong.csv"
    file.write_text("name,cas,amount,unit\nToluene,108-88-4,2.5,L\nAcetone,67-64-1,-1,L\n", "utf-8")
    done = run("assess", str(file), *SCENARIO)
    assert done.returncode == 2
    assert "row 2" in done.stderr
    assert "row 3" in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


@pytest.mark.parametrize(
    ("words", "status"),
    [
        (("substance", "toluene"), 0),
        (("substance", "108-88-4"), 2),
        (("substance", "toluene", "--temperature", "nan"), 2),
        (("substance", "toluene", "--temperature", "-400"), 2),
        (("limits", "show", "50-00-0"), 0),
        (("limits", "list"), 0),
        (("media", "list"), 0),
        (("assess", "nothing-there.csv", *SCENARIO), 2),
        (("assess",), 2),
        (("asess",), 2),
    ],
)
def test_status_without_traceback(words: tuple[str, ...], status: int) -> None:
    done = run(*words)
    assert done.returncode == status, done.stderr
    assert "Traceback" not in done.stderr


def test_the_demo_writes_its_papers(the_demo: Path) -> None:
    for name in ("record.json", "record.pdf", "label.pdf", "shelves.pdf"):
        assert (the_demo / name).stat().st_size > 1000
    record = json.loads((the_demo / "record.json").read_text("utf-8"))
    assert record["invented"]
    assert sum(item["count"] for item in record["containers"]) >= 60
    assert len(record["substances"]) >= 25


def test_the_examples_are_the_demo() -> None:
    demo = Path(__file__).parents[2] / "src" / "stillroom" / "cli" / "demo"
    files = [file for file in demo.rglob("*") if file.suffix in (".csv", ".toml")]
    assert len(files) >= 9
    for file in files:
        assert (EXAMPLES / file.relative_to(demo)).read_bytes() == file.read_bytes()
