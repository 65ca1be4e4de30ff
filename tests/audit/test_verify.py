"""Tampering is found and named: in the chain, in rows behind its back, in signed validations, against paper."""

from __future__ import annotations

import pytest
from django.db import connection

from audit.rows import CHANGES, DAY, signed
from stillroom.records import guards, keys, models, statement, trail
from stillroom.records.checkpoints import copies, keep_copies
from stillroom.records.notes import Note
from stillroom.services.audit import Database, Paper, verify
from stillroom.services.audit_trial import ATTACKS, bench, selftest

tampers = pytest.mark.tampers
KINDS = sorted(CHANGES)


def raw(statement_, *parameters):
    """Someone with full rights on the database."""
    with connection.cursor() as cursor:
        cursor.execute(statement_, parameters)


@pytest.fixture
def intruder(rows):
    guards.remove(connection)
    return rows


def words():
    return [str(finding) for finding in verify().findings]


def test_what_was_written_properly_is_whole(rows):
    report = verify()
    assert report.whole
    assert report.validations == 1
    assert report.rows >= len(CHANGES)
    assert report.checkpoints == len(report.logs) == 3
    assert {log.name for log in report.logs} == {"installation", *keys_of_organisations()}


def keys_of_organisations():
    return set(models.Organisation.objects.values_list("key", flat=True))


@tampers
@pytest.mark.parametrize("kind", KINDS)
def test_a_row_altered_behind_the_trails_back_is_named(kind, intruder):
    row, (name, value) = intruder[kind], next(iter(CHANGES[kind].items()))
    model = type(row)
    field = model._meta.get_field(name)
    value = field.get_db_prep_save(value, connection)
    raw(f'UPDATE {model._meta.db_table} SET "{field.column}" = %s WHERE id = %s', value, row.pk)
    subject = model.subject_of(model.stored(row.pk))
    assert f"{subject} · was altered behind the trail's back: {name}" in words()


@tampers
def test_a_password_put_in_by_hand_is_named(intruder, two):
    raw("UPDATE records_user SET password = 'mine' WHERE id = %s", two[1][1].pk)
    assert words() == [f"user:{two[1][1].pk} · was altered behind the trail's back: password"]


@tampers
def test_a_row_put_in_or_taken_out_behind_the_trails_back_is_named(intruder, two):
    raw(
        "INSERT INTO records_membership (user_id, organisation_id, role) VALUES (%s, %s, 'owner')",
        two[1][1].pk,
        two[0][0].pk,
    )
    new = models.Membership.objects.get(user=two[1][1], organisation=two[0][0])
    gone = f"calibration:{intruder['Calibration'].pk}"
    raw("DELETE FROM records_calibration")
    assert words() == [
        f"membership:{new.pk} · was put into the database behind the trail's back",
        f"{gone} · was removed from the database behind the trail's back",
    ]


@tampers
def test_events_edited_deleted_or_swapped_are_named(intruder, two):
    log = two[0][0].key
    raw("UPDATE records_event SET actor = 'someone' WHERE log = %s AND seq = 3", log)
    raw("DELETE FROM records_event WHERE log = %s AND seq IN (5, 6)", log)
    found = "\n".join(words())
    assert f"log {log} · event 3 (" in found and "was altered" in found
    assert f"log {log} · events 5–6 · missing" in found


@tampers
def test_a_cut_tail_is_found_by_the_copy_outside(intruder, two, settings):
    organisation, _ = two[0]
    for log in (organisation.key, "installation"):
        keep_copies(log)
    assert {note.log for _, note in copies()} == {organisation.key, "installation"}
    raw("DELETE FROM records_event WHERE log = %s", organisation.key)
    raw("DELETE FROM records_checkpoint WHERE log = %s", organisation.key)
    found = "\n".join(words())
    assert f"log {organisation.key} · the whole log is gone" in found


@tampers
def test_a_signature_of_another_key_is_no_checkpoint(intruder, two):
    log = two[0][0].key
    row = models.Checkpoint.objects.get(log=log)
    strange = keys.Key.new()
    note = Note(*(getattr(row, name) for name in Note._fields))._replace(key_id=strange.id)
    raw(
        "UPDATE records_checkpoint SET key_id = %s, signature = %s WHERE log = %s",
        strange.id, strange.sign(note.body), log,
    )  # fmt: skip
    assert words() == [
        f"log {log} · checkpoint of {row.size} events · is signed by an unknown key ({strange.id})"
    ]
    raw("UPDATE records_checkpoint SET key_id = %s WHERE log = %s", keys.own_key().id, log)
    assert words() == [f"log {log} · checkpoint of {row.size} events · its signature does not belong to it"]


def head_of(organisation):
    head = trail.head(organisation)
    return Paper(head.seq, head.hash[:32])


def test_the_head_on_a_paper_is_found_again(rows, two):
    paper = head_of(two[0][0])
    with trail.writing(*two[0], reason="later"):
        rows["Cabinet"].place = "later"
        rows["Cabinet"].save()
    assert verify(papers=[paper]).whole
    other = Paper(paper.seq, "0" * 32)
    assert "was shortened or rewritten" in str(verify(papers=[other]).findings[0])
    assert not verify(papers=[Paper(paper.seq + 1, paper.head)]).whole


@tampers
def test_the_head_on_a_paper_is_missed_in_a_shortened_or_rewritten_copy(intruder, two):
    paper = head_of(two[0][0])
    raw("DELETE FROM records_event WHERE log = %s AND seq = %s", two[0][0].key, paper.seq)
    assert any(finding.where == f"event {paper.seq}" for finding in verify(papers=[paper]).findings)


FIELDS = {
    "record_text": "{}", "number": 2, "version": 2, "meaning": "reviewed", "signer_name": "Two",
    "signed_at": "2026-11-04 12:00:01+00:00", "valid_until": "2099-01-01", "record_sha256": "1" * 64, "head": "1" * 32,
    "event_seq": 99, "statement_sha256": "1" * 64, "signature": "1" * 128, "key_id": "00000000", "key": "aaaaaaaaaaaa",
}  # fmt: skip


@tampers
@pytest.mark.parametrize("name", FIELDS)
def test_no_part_of_a_signed_validation_can_change(name, intruder):
    validation = intruder["Validation"]
    public = keys.public_keys()
    assert statement.faults(validation, public) == []
    raw(f"UPDATE records_validation SET {name} = %s WHERE id = %s", FIELDS[name], validation.pk)
    validation.refresh_from_db()
    assert statement.faults(validation, public), name
    assert any(finding.where.startswith("validation ") for finding in verify().findings)


@tampers
def test_a_signature_cannot_move_to_another_record(intruder, two):
    from stillroom.records import store

    first = intruder["Validation"]
    copy = store.copy_of(intruder["Assessment"], two[0][1])
    store.conclude(copy, two[0][1], record=intruder["Assessment"].record | {"title": "another"})
    other = signed(*two[0], first.cabinet, copy, number=2, version=2, supersedes=first)
    other.signature, other.key_id = first.signature, first.key_id
    assert statement.faults(other, keys.public_keys()) == ["the signature does not belong to it"]
    statement.seal(other, keys.Key.new())
    assert "not in trail-keys.txt" in statement.faults(other, keys.public_keys())[0]
    assert first.valid_until == DAY


def test_each_attack_on_a_copy_is_found_and_the_original_is_as_before(rows):
    before = list(Database().events())
    report, trials = selftest(Database(), keys=keys.public_keys(), key=keys.own_key())
    assert report.whole
    assert [trial.name for trial in trials] == list(ATTACKS) and len(trials) == 6
    expected = {
        "edit": "was altered", "delete": "missing", "reorder": "was altered", "truncate the tail": "cut off",
        "full rewrite": "are not those of the checkpoint", "swap organisations' logs": "was altered",
    }  # fmt: skip
    for trial in trials:
        assert any(expected[trial.name] in str(finding) for finding in trial.findings), trial
    assert list(Database().events()) == before


def test_an_attack_that_changes_nothing_is_not_found(rows, monkeypatch):
    monkeypatch.setitem(ATTACKS, "edit", lambda db, log, size, other: None)
    _, trials = selftest(Database(), keys=keys.public_keys(), key=keys.own_key())
    assert [trial.name for trial in trials if not trial.findings] == ["edit"]


@tampers
def test_a_trail_that_is_not_whole_is_not_tried_on(intruder, two):
    raw("UPDATE records_event SET reason = 'none' WHERE log = %s AND seq = 2", two[0][0].key)
    report, trials = selftest(Database(), keys=keys.public_keys(), key=keys.own_key())
    assert not report.whole and trials == []


def test_the_time_is_taken_of_a_whole_log():
    report, seconds = bench(3000)
    assert report.whole and seconds > 0
    assert {log.name: log.size for log in report.logs}["bench"] == 3000
    assert report.checkpoints == 3
