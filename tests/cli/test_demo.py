"""The demo shows the whole job. What it must hold is what its page and the README promise; all of it is invented."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

FILES = ("record.json", "record.pdf", "label.pdf", "shelves.pdf")


@pytest.fixture
def out(the_demo: Path) -> Path:
    return the_demo


def record(folder: Path) -> dict:
    return json.loads((folder / "record.json").read_text("utf-8"))


def test_three_assessments_with_their_papers(out: Path) -> None:
    for folder in (out, out / "asked", out / "studio"):
        for name in FILES:
            assert (folder / name).stat().st_size > 1000
        assert record(folder)["invented"]
        assert record(folder)["title"] in (out / "printed.txt").read_text("utf-8")


def test_the_verdicts_that_it_is_to_show(out: Path) -> None:
    asked, revised, studio = record(out / "asked"), record(out), record(out / "studio")
    assert (asked["verdict"], revised["verdict"]) == ("not approved", "approved with conditions")
    assert studio["verdict"] == "approved with conditions"
    of = {item["verdict"] for item in (*asked["substances"], *revised["substances"])}
    assert of == {"approved", "approved with conditions", "not approved"}
    assert asked["conflicts"]
    states = {item["state"] for item in revised["containers"]}
    assert {"liquid", "solution", "solid"} <= states
    assert len(revised["substances"]) >= 25
    assert sum(item["count"] for item in revised["containers"]) >= 60


def test_in_the_studio_another_clock_than_age_ends_the_filter(out: Path) -> None:
    """A dirty room and a low limit: the interval is wide, the label takes its cautious end."""
    studio = record(out / "studio")
    assert studio["governing"] not in ("age", "")
    life = studio["service_life_days"]
    assert 30 <= life["p05"] < 0.8 * life["p95"]
    sure = studio["cautious_life"]
    assert (
        studio["label_life_days"]
        == int(sure["days"])
        <= life["p05"]
        == sure["point_days"]
        <= sure["upper_days"]
    )
    assert sure["days"] >= 0.8 * life["p05"] and sure["draws"] == studio["draws"] > 1000
    age = next(clock for clock in studio["clocks"] if clock["name"] == "age")
    assert life["p05"] < age["days"]["p05"]
    assert any(words.startswith("The filter is replaced after") for words in studio["conditions"])


def test_the_studio_s_curves_come_near_the_criterion_within_the_year(out: Path) -> None:
    """1 % of the limits: never with a new filter, within the band at the end of the year."""
    curves = {curve["cas"]: curve for curve in record(out / "studio")["curves"]}
    index = curves["index"]
    assert index["p95"][0] < 0.01 <= index["p95"][-1]
    assert index["p50"][-1] > 3 * index["p50"][0]
    governing = record(out / "studio")["governing"]
    assert governing in curves


def test_the_studio_s_room_is_most_of_the_load(out: Path) -> None:
    loads = record(out / "studio")["room"]["filter_load"]
    assert len(loads) == 3
    assert sum(load["share_of_held"]["p50"] for load in loads) > 0.5
