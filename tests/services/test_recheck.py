"""A limit lowered by a factor of ten: who is affected, and how; true assessments, stored and signed."""

from __future__ import annotations

import datetime
import json

import pytest

from records.conftest import two  # noqa: F401
from services.kept import ASSESSED, conclude_as_computed, keep, load, signed
from stillroom import media
from stillroom.records.models import Withdrawal
from stillroom.records.store import copy_of
from stillroom.records.trail import writing
from stillroom.services import recheck as verb
from stillroom.services.recheck import changed_since, exit_status, in_force, recheck

TODAY = ASSESSED + datetime.timedelta(days=30)
TOLUENE, ACETONE = "Toluene,108-88-3,2.5,L,2\n", "Acetone,67-64-1,0.25,L,1\n"


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("STILLROOM_LIMITS", str(tmp_path / "lists"))
    verb._answers.clear()


@pytest.fixture
def three(two):  # noqa: F811
    """Toluene under the works' list; acetone under it; toluene under a list that stays as it is."""
    load(50)
    organisation, user = two[0]
    return [
        keep(organisation, user, "Toluene", TOLUENE, "works"),
        keep(organisation, user, "Acetone", ACETONE, "works"),
        keep(organisation, user, "Elsewhere", TOLUENE, "uk-eh40"),
    ]


def names(rows):
    return [row["cabinet"]["name"] for row in rows]


def test_nothing_changed_is_nothing_to_compute(three):
    rows = recheck(in_force(), today=TODAY)
    assert names(rows) == ["Acetone", "Elsewhere", "Toluene"]
    assert not any(row["changed"] or row["past"] or row["computed"] for row in rows)
    assert exit_status(rows) == 0


def test_computed_all_the_same_it_is_the_same_record(three):
    rows = recheck(in_force(), today=TODAY, everything=True)
    assert all(row["computed"] and row["differs"] is False and row["moved"] == [] for row in rows)
    assert exit_status(rows) == 0


def test_a_limit_lowered_tenfold_names_the_affected_and_the_new_verdicts(three):
    load(5, edition="2")
    rows = {row["cabinet"]["name"]: row for row in recheck(in_force(), today=TODAY)}
    assert [name for name in rows if rows[name]["changed"]] == ["Acetone", "Toluene"]
    assert [change["what"] for change in rows["Toluene"]["changed"]] == ["limits works"]
    assert rows["Toluene"]["changed"][0]["then"].startswith("1, sha256 ")
    assert rows["Toluene"]["changed"][0]["now"].startswith("2, sha256 ")
    assert rows["Acetone"]["differs"] is False, "its own limit stayed: the list changed, the answer did not"
    assert not rows["Elsewhere"]["computed"]
    moved = rows["Toluene"]
    assert moved["differs"] is True
    assert moved["validation"]["verdict"] in ("approved", "approved with conditions")
    assert "toluene, limit: 50 ppm TWA (works) → 5 ppm TWA (works)" in moved["moved"]
    assert exit_status(rows.values()) == 1
    json.dumps(list(rows.values()), allow_nan=False)


def test_a_limit_lowered_tenfold_can_turn_an_approval_into_a_refusal(two):  # noqa: F811
    load(1, confirmed=True)
    keep(*two[0], "Toluene", TOLUENE, "works")
    load(0.1, edition="2", confirmed=True)
    (row,) = recheck(in_force(), today=TODAY)
    assert row["validation"]["verdict"] == "approved with conditions"
    assert row["verdict_now"] == "not approved" and row["difference"]["verdict"]["worse"]
    assert "toluene: approved → not approved" in row["moved"]


def test_the_new_verdict_is_the_one_that_a_new_assessment_gives(three):
    """The affected cabinet assessed anew, by the pages' own way, under the lowered list."""
    load(5, edition="2")
    row = next(row for row in recheck(in_force(), today=TODAY) if row["cabinet"]["name"] == "Toluene")
    user = three[0].signer
    anew = copy_of(three[0].assessment, user)
    conclude_as_computed(anew, user)
    assert row["verdict_now"] == anew.record["verdict"]
    now = next(item for item in row["difference"]["substances"] if item["cas"] == "108-88-3")
    assert now["after"]["verdict"] == anew.record["substances"][0]["verdict"]
    assert now["after"]["limit"]["value"] == 5
    for clock in row["difference"]["clocks"]:
        assert clock["after"] in anew.record["clocks"]
    # ten times lower a limit, the same air: the fraction of it is ten times higher
    old, new = (now[side]["exhaust_fraction_of_limit"]["p50"] for side in ("before", "after"))
    if row["difference"]["life"]["before"]["days"] == row["difference"]["life"]["after"]["days"]:
        assert new == pytest.approx(10 * old, rel=1e-5)


def test_nothing_is_written_and_the_signed_record_stays(three):
    from stillroom.records.models import Event

    load(5, edition="2")
    before = Event.objects.count(), three[0].record_text
    recheck(in_force(), today=TODAY)
    three[0].refresh_from_db()
    assert (Event.objects.count(), three[0].record_text) == before


def test_the_last_day_counts_and_the_day_after_is_past(three):
    ends = three[0].valid_until
    at_end = next(row for row in recheck(in_force(), today=ends) if row["cabinet"]["name"] == "Toluene")
    assert not at_end["past"]
    late = recheck(in_force(), today=ends + datetime.timedelta(days=3))
    assert next(row for row in late if row["cabinet"]["name"] == "Toluene")["days_past"] == 3


def test_a_list_that_is_gone_cannot_be_told_and_is_not_the_same(three, tmp_path):
    (tmp_path / "lists" / "works.csv").unlink()
    rows = {row["cabinet"]["name"]: row for row in recheck(in_force(), today=TODAY)}
    assert rows["Toluene"]["changed"][0]["now"] == "not there any more"
    assert rows["Toluene"]["differs"] is None and "works" in rows["Toluene"]["fault"]
    assert exit_status(rows.values()) == 3


def test_superseded_withdrawn_and_retired_are_left_out(three):
    organisation, user = three[0].organisation, three[0].signer
    again = copy_of(three[0].assessment, user)
    conclude_as_computed(again, user)
    newer = signed(again, user, three[0].cabinet)
    with writing(organisation, user, reason="no longer"):
        Withdrawal.objects.create(
            organisation=organisation, created_by=user, validation=three[1], reason="moved", by=user,
            at=datetime.datetime(2026, 11, 5, tzinfo=datetime.UTC),
        )  # fmt: skip
        three[2].cabinet.retired = TODAY
        three[2].cabinet.save()
    assert in_force() == [newer]


def test_of_one_organisation_only(three, two):  # noqa: F811
    (first, _), (second, other) = two
    theirs = keep(second, other, "Theirs", ACETONE, "uk-eh40")
    assert in_force(second) == [theirs]
    assert theirs not in in_force(first)


@pytest.mark.parametrize(
    "name, words", [("model", "0"), ("stillroom", "0.0.0"), ("limits uk-eh40", "3rd edition, sha256 0")]
)
def test_an_older_model_program_or_shipped_list_is_noticed(name, words, three):
    versions = three[2].assessment.versions
    assert changed_since(versions) == []
    (change,) = changed_since(versions | {name: words})
    assert (change["what"], change["then"], change["now"]) == (name, words, versions[name])


def test_an_edited_shipped_medium_is_noticed_by_its_digest(three, monkeypatch):
    versions = three[2].assessment.versions
    (medium,) = [name for name in versions if name.startswith("medium ")]
    edited = media.versions() | {medium.removeprefix("medium "): "1+000000000000"}
    monkeypatch.setattr(media, "versions", lambda: edited)
    assert [change["what"] for change in changed_since(versions)] == [medium]


def test_a_shipped_medium_that_is_gone_has_changed_and_is_said_to_be(three, monkeypatch):
    versions = three[2].assessment.versions
    (medium,) = [name for name in versions if name.startswith("medium ")]
    monkeypatch.setattr(media, "versions", dict)
    (change,) = changed_since(versions | {"medium of my own": "measured 2026"})
    assert (change["what"], change["now"]) == (medium, "not there any more")


def test_past_its_date_alone_is_no_success(three):
    ends = max(row.valid_until for row in three)
    rows = recheck(in_force(), today=ends + datetime.timedelta(days=1))
    assert any(row["past"] for row in rows)
    assert not any(row["computed"] for row in rows)
    assert exit_status(rows) == 1


def test_an_answer_is_kept_until_a_version_changes(three, monkeypatch):
    load(5, edition="2")
    recheck(in_force(), today=TODAY)
    computed = []
    monkeypatch.setattr(
        verb,
        "_computed",
        lambda validation: computed.append(validation) or {"computed": True, "differs": False},
    )
    recheck(in_force(), today=TODAY)
    assert computed == []
    load(4, edition="3")
    recheck(in_force(), today=TODAY)
    assert len(computed) == 2
