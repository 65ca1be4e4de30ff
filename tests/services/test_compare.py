"""What changed between two records: nothing between a record and itself, every change named, both ways alike."""

from __future__ import annotations

import copy
import datetime
import json
from collections import Counter
from dataclasses import replace

import pytest

from assessment.invented import LITRE, bottle, cabinet, inventory, room
from documents.sample_record import refused_record, sample_record
from stillroom.services.assess import assess
from stillroom.services.compare import compare, lines

DAY = datetime.date(2026, 11, 4)
LISTS = {"lists": ["uk-eh40"], "ordering": "strictest"}


def made(*bottles, air_changes: float = 6, lists=LISTS):
    place = room(limits=lists)
    place = replace(place, air_changes_per_h=air_changes)
    return assess(inventory(*bottles), cabinet(), place, date=DAY, draws=100)


TOLUENE, ACETONE = bottle(1, "108-88-3", 2.5 * LITRE, 2), bottle(2, "67-64-1", LITRE)
NITRIC = bottle(3, "7697-37-2", LITRE, strength=0.65)


@pytest.fixture(scope="module")
def before():
    return made(TOLUENE, ACETONE)


@pytest.fixture(scope="module")
def after():
    return made(TOLUENE, replace(ACETONE, count=3), NITRIC, air_changes=4)


@pytest.mark.parametrize("record", [sample_record(), refused_record()])
def test_nothing_changed_between_a_record_and_itself(record):
    answer = compare(record, copy.deepcopy(record))
    assert not answer["differs"] and lines(answer) == []
    assert not answer["inputs"] and not answer["containers"] and not answer["other_inputs"]
    assert not any(row["changed"] for row in (*answer["substances"], *answer["clocks"]))


def test_what_was_asked_differently_is_named(before, after):
    answer = compare(before, after)
    assert [(row["part"], row["what"], row["before"], row["after"]) for row in answer["inputs"]] == [
        ("room", "air_changes_per_h", 6.0, 4)
    ]
    assert {(row["name"].casefold(), row["change"]) for row in answer["containers"]} == {
        ("acetone", "changed"), ("nitric acid", "added"),
    }  # fmt: skip


def test_how_many_draws_the_answer_needed_was_not_asked(before):
    answer = compare(before, {**before, "draws": before["draws"] + 100})
    assert not answer["inputs"] and not answer["other_inputs"] and not answer["differs"]
    assert [row["what"] for row in answer["versions"]] == ["draws"]


def test_containers_are_counted_as_a_counter_would(before, after):
    """An independent count, bottle by bottle."""

    def counted(record):
        return Counter({}) + sum(
            (Counter({(row["name"], row["amount"]): row["count"]}) for row in record["containers"]), Counter()
        )

    come, gone = counted(after) - counted(before), counted(before) - counted(after)
    answer = compare(before, after)

    def of(side):
        return sum(
            (
                Counter({(row["name"], item["amount"]): item["count"]})
                for row in answer["containers"]
                for item in row[side]
            ),
            Counter(),
        )

    assert of("after") - of("before") == come
    assert of("before") - of("after") == gone


def test_what_came_out_is_as_the_records_say(before, after):
    answer = compare(before, after)
    assert answer["verdict"]["before"] == before["verdict"] and answer["verdict"]["after"] == after["verdict"]
    assert {row["cas"] for row in answer["substances"]} == {"108-88-3", "67-64-1", "7697-37-2"}
    new = next(row for row in answer["substances"] if row["cas"] == "7697-37-2")
    assert new["before"] is None and new["after"]["verdict"] == after["substances"][2]["verdict"]
    appeared = {tuple(sorted(row["names"])) for row in answer["conflicts"]["appeared"]}
    assert appeared == {tuple(sorted(row["names"])) for row in after["conflicts"]}
    assert appeared, "nitric acid beside acetone: a conflict in any chart"
    for row in answer["clocks"]:
        assert row["after"] in after["clocks"] and row["before"] in before["clocks"]
    assert answer["differs"] and lines(answer)


def test_both_ways_alike(before, after):
    there, back = compare(before, after), compare(after, before)
    assert there["conflicts"]["appeared"] == back["conflicts"]["gone"]
    assert there["conditions"]["added"] == back["conditions"]["removed"]
    assert {(row["name"], str(row["before"]), str(row["after"])) for row in there["substances"]} == {
        (row["name"], str(row["after"]), str(row["before"])) for row in back["substances"]
    }
    assert there["differs"] == back["differs"]


def test_it_is_json(before, after):
    answer = compare(before, after)
    assert json.loads(json.dumps(answer, allow_nan=False)) == json.loads(json.dumps(answer))


def test_another_closure_is_a_change():
    record = sample_record()
    other = copy.deepcopy(record)
    other["containers"][0]["closure"] = "ground glass"
    (row,) = compare(record, other)["containers"]
    assert row["change"] == "changed" and row["after"][0]["closure"] == "ground glass"


def test_what_a_record_does_not_spell_out_is_said_to_be_something_else():
    record = sample_record()
    assert compare(record, dict(record) | {"input_sha256": "0" * 64})["other_inputs"]
    versions = {"versions": record["versions"] | {"model": "99"}}
    answer = compare(record, dict(record) | {"input_sha256": "0" * 64} | versions)
    assert not answer["other_inputs"] and answer["versions"] == [
        {"what": "model", "unit": "", "before": record["versions"]["model"], "after": "99"}
    ]


def test_a_refusal_is_worse_and_an_approval_is_not():
    assert compare(sample_record(), refused_record())["verdict"]["worse"]
    assert not compare(refused_record(), sample_record())["verdict"]["worse"]


def test_a_limit_by_hand_and_another_list(before):
    lower = made(TOLUENE, ACETONE, lists={"lists": ["niosh-rel"], "ordering": "first"})
    parts = {(row["part"], row["what"]) for row in compare(before, lower)["inputs"]}
    assert parts == {("limits", "1"), ("limits", "ordering")}
    assert any(row["what"] == "limits niosh-rel" for row in compare(before, lower)["versions"])


def changed_shelf(house):
    first, *others = house.compartments
    shelf, *rest = first.shelves
    return replace(house, compartments=(replace(first, shelves=(replace(shelf, trays=shelf.trays + 1), *rest)), *others))  # fmt: skip


def changed_bed(house):
    first, *others = house.filters.beds
    return replace(house, filters=replace(house.filters, beds=(replace(first, area=first.area * 2), *others)))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (changed_shelf, "trays"),
        (changed_bed, "face area"),
        (lambda house: replace(house, air_volume=house.air_volume * 2), "Air inside"),
        (lambda house: replace(house, max_age_days=200.0), "Longest filter age"),
    ],
)
def test_a_change_of_the_cabinet_does_not_hide_behind_another_change(before, change, words):
    """The room is changed too: what the record spells out must not silence the rest."""
    place = replace(room(limits=LISTS), air_changes_per_h=4)
    after = assess(inventory(TOLUENE, ACETONE), change(cabinet()), place, date=DAY, draws=100)
    rows = compare(before, after)["inputs"]
    assert any(row["part"] == "cabinet" and words in row["what"] for row in rows)
    assert any(row["what"] == "air_changes_per_h" for row in rows)


def test_openings_and_material_do_not_hide_behind_another_change(before):
    often = replace(TOLUENE, opened_per_week=25.0, opened_stated=True, material="HDPE")
    answer = compare(before, made(often, replace(ACETONE, count=3), air_changes=4))
    toluene = next(row for row in answer["containers"] if row["name"].casefold() == "toluene")
    assert (toluene["before"][0]["opened_per_week"], toluene["after"][0]["opened_per_week"]) == (1.0, 25.0)
    assert toluene["after"][0]["material"] == "HDPE"


def test_how_sure_the_rooms_air_is_does_not_hide_behind_another_change():
    def of(factor, changes):
        own = {"cas": "108-88-3", "mg_m3": 0.5, "uncertainty_factor": factor, "source": "user"}
        place = replace(room(limits=LISTS, background=[own]), air_changes_per_h=changes)
        return assess(inventory(TOLUENE), cabinet(), place, date=DAY, draws=100)

    rows = compare(of(2.0, 6), of(4.0, 4))["inputs"]
    assert any("uncertainty factor" in row["what"] and row["after"] == 4.0 for row in rows)


def test_a_record_of_an_older_program_says_nothing_of_openings(before):
    older = copy.deepcopy(before)
    for row in older["containers"]:
        del row["opened_per_week"], row["material"]
    del older["cabinet"]["details"], older["room"]["details"]
    answer = compare(older, before)
    assert not answer["containers"] and not answer["inputs"]


def test_what_the_filter_has_taken_up_is_said_where_it_stays(before, after):
    """A vapour that goes out, 2.4 g a day in 200 m³/h: 0.5 mg/m³, by hand."""
    ours = copy.deepcopy(before)
    ours["verdict"] = "approved"
    ours["cabinet"]["flow_m3_h"] = 200.0
    ours["room"]["backgrounds"] = []
    for row in ours["substances"]:
        row["emission_g_per_day"] = {"p05": 0.0, "p50": 0.0, "p95": 0.0}
    ours["substances"][0]["emission_g_per_day"] = {"p05": 1.0, "p50": 2.4, "p95": 4.0}
    gone = copy.deepcopy(ours)
    (out,) = gone["substances"][:1]
    gone["substances"] = gone["substances"][1:]
    (row,) = compare(ours, gone)["left_on_the_filter"]
    assert (row["cas"], row["mg_m3"]) == (out["cas"], pytest.approx(0.5))
    assert any(
        f"has taken up of {out['name']}, about 0.5 mg/m³" in line for line in lines(compare(ours, gone))
    )
    assert compare(gone, ours)["left_on_the_filter"] == []  # what comes in has not been there
    told = copy.deepcopy(gone)
    told["cabinet"]["filters"] = [*told["cabinet"]["filters"], "has served 60 days with it"]
    new = copy.deepcopy(gone)
    new["cabinet"]["installed"] = "2030-01-01"
    assert compare(ours, told)["left_on_the_filter"] == compare(ours, new)["left_on_the_filter"] == []
