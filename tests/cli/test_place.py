"""``stillroom place``: one cabinet and two, the table and the drawings. Two bottles that may not share air are the case."""

from __future__ import annotations

import csv
import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from click.testing import CliRunner

from stillroom.cli.commands.place import command


@pytest.fixture
def inventory(tmp_path: Path) -> Path:
    file = tmp_path / "inventory.csv"
    file.write_text(
        "name,cas,amount,unit,concentration\nHydrochloric acid,7647-01-0,1,L,37 %\nAmmonia solution,1336-21-6,1,L,25 %\n",
        "utf-8",
    )
    return file


def test_one_cabinet_leaves_one_of_two_out_and_says_what_would_take_it(inventory: Path) -> None:
    done = CliRunner().invoke(command, [str(inventory), "--cabinet", "full-height"])
    assert done.exit_code == 1
    assert "NOT here: Ammonia solution, beside Hydrochloric acid: the vapours meet" in done.output
    assert "Another cabinet would take: Ammonia solution." in done.output
    assert done.output.count("compartment ") == 1


def test_two_cabinets_take_both_and_are_drawn(inventory: Path, tmp_path: Path) -> None:
    words = ["--cabinet", "full-height", "--cabinet", "under-bench", "--out", str(tmp_path / "out"), "--json"]
    done = CliRunner().invoke(command, [str(inventory), *words])
    assert done.exit_code == 0
    plan = json.loads(done.output)
    assert {one["cabinet"] for one in plan["placed"]} == {0, 1}
    assert (plan["not_placed"], plan["unsolved"], plan["elsewhere"], plan["further"]) == ([], [], {}, [])
    with (tmp_path / "out" / "plan.csv").open(encoding="utf-8") as file:
        rows = {row["name"]: row["cabinet"] for row in csv.DictReader(file)}
    assert set(rows) == {"Hydrochloric acid", "Ammonia solution"} and set(rows.values()) == {"1", "2"}
    for name in ("cabinet-1-front", "cabinet-1-shelves", "cabinet-2-front", "cabinet-2-shelves"):
        assert ET.parse(tmp_path / "out" / f"{name}.svg").getroot().tag.endswith("svg")
