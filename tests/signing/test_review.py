"""A second person's signature: who may, bound to the first one, in every form, never moved or changed.

Yardstick: 21 CFR 11.50 (name, time, meaning; "review"), 11.70 and 11.200 (designed after, not compliant with). That a stored
review is edited by nobody: tests/audit/test_immutable, on both engines.
"""

from __future__ import annotations

import hashlib
import json
from datetime import timedelta

import pytest
from django.db import transaction
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from documents.reading import squeezed, text
from signing.conftest import PASSWORD
from signing.test_sign import REFUSED, signed
from signing.test_states import case_in, later  # noqa: F401
from stillroom.documents.figures import day
from stillroom.documents.words import ENGLISH
from stillroom.records import keys, models, statement, trail
from stillroom.services.audit import verify
from stillroom.services.review import review
from stillroom.services.sign import CannotSign
from stillroom.services.withdraw import withdraw

pytestmark = pytest.mark.django_db
BACKEND = "django.contrib.auth.backends.ModelBackend"


def person(desk, name, role="validator", full_name="Third Invented", **more):
    with trail.writing(None, desk.user, reason="a person comes"):
        user = models.User.objects.create(
            username=name, full_name=full_name, password=desk.user.password, **more
        )
        models.Membership.objects.create(user=user, organisation=desk.organisation, role=role)
    return user


@pytest.fixture
def second(desk):
    return person(desk, "third")


def reviewed(validation, user, **other):
    fresh = models.Validation.objects.get(pk=validation.pk)
    return review(fresh, user, **{"password": PASSWORD, "username": user.username} | other)


def test_name_meaning_time_and_place_in_the_trail(desk, second):
    validation = signed(desk)
    row = reviewed(validation, second)
    assert (row.reviewer_name, row.meaning, row.validation) == ("Third Invented", "reviewed", validation)
    assert row.reviewed_at.microsecond == 0
    assert statement.review_faults(row, keys.public_keys()) == []
    said = json.loads(statement.review_statement(row))
    assert said["validation_sha256"] == validation.statement_sha256
    assert said["record_sha256"] == validation.record_sha256
    event = trail.events(desk.organisation).first()
    assert (event.actor, event.action, event.reason) == ("third", "validation.reviewed", "signed: reviewed")
    assert event.seq == row.event_seq + 1 and event.prev[:32] == row.head
    kept = models.Validation.objects.filter(pk=validation.pk).values().get()
    assert kept == {name: getattr(validation, name) for name in kept}, "what was signed is as it was"


def nothing_kept(words, validation, user, **other):
    before = models.Event.objects.count()
    with pytest.raises(CannotSign, match=words):
        reviewed(validation, user, **other)
    assert not models.Review.objects.exists()
    assert models.Event.objects.count() == before


@pytest.mark.parametrize(
    "wrong",
    [{"password": "wrong"}, {"password": ""}, {"username": ""}, {"username": "one"}, {"username": "Third"}],
    ids=str,
)
def test_it_takes_both_components(desk, second, wrong):
    nothing_kept("[Nn]othing was signed", signed(desk), second, **wrong)


def test_who_made_or_signed_it_does_not_review_it(desk, second):
    validation = signed(desk, user=second)
    nothing_kept("second person", validation, second)
    nothing_kept("second person", validation, desk.user)
    assert reviewed(validation, person(desk, "fourth")).reviewer_name == "Third Invented"


def test_readers_strangers_the_nameless_and_the_deactivated_do_not(desk):
    validation = signed(desk)
    nothing_kept("owner or a validator", validation, desk.stranger)
    nothing_kept("owner or a validator", validation, person(desk, "reads", "reader"))
    nothing_kept("owner or a validator", validation, person(desk, "gone", is_active=False))
    nothing_kept("full name", validation, person(desk, "nameless", full_name=" "))


@pytest.mark.parametrize("state", ["expired", "refused", "superseded", "withdrawn"])
def test_only_what_stands_is_reviewed(desk, second, later, state):  # noqa: F811
    case = case_in(state, desk, later)
    nothing_kept("does not stand", models.Validation.objects.get(assessment=case), second)


def test_it_is_reviewed_once_also_by_two_at_a_time(desk, second):
    validation = signed(desk)

    def meanwhile(user, password):
        reviewed(validation, second)
        return True

    with pytest.raises(CannotSign, match="already"):
        reviewed(validation, person(desk, "fourth"), check=meanwhile)
    assert models.Review.objects.get().reviewer == second
    with pytest.raises(CannotSign, match="already"):
        reviewed(validation, person(desk, "fifth"))


def test_what_was_withdrawn_while_the_password_was_checked_is_not_reviewed(desk, second):
    validation = signed(desk)

    def meanwhile(user, password):
        withdraw(validation, desk.user, reason="r", password=PASSWORD)
        return True

    with pytest.raises(CannotSign, match="does not stand"):
        reviewed(validation, second, check=meanwhile)
    assert not models.Review.objects.exists()


def test_a_review_stays_with_what_was_withdrawn(desk, second):
    validation = signed(desk)
    reviewed(validation, second)
    withdraw(models.Validation.objects.get(pk=validation.pk), desk.user, reason="r", password=PASSWORD)
    assert models.Review.objects.get().validation == validation


def test_the_orms_ordinary_calls_do_not_alter_it(desk, second):
    row = reviewed(signed(desk), second)
    rows = models.Review.objects.filter(pk=row.pk)
    kept = rows.values().get()
    row.reviewer_name = "Other"
    for attempt in (row.save, row.delete, lambda: rows.update(reviewer_name="Other"), rows.delete):
        with pytest.raises((trail.NotThroughTrail, trail.Frozen)), transaction.atomic():
            attempt()
    with pytest.raises(trail.Frozen), trail.writing(desk.organisation, desk.user, reason="to see"):
        row.save()
    assert rows.values().get() == kept


FIELDS = ("meaning", "reviewer_name", "statement_sha256", "signature", "key_id", "head")


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(name=st.sampled_from(FIELDS), place=st.floats(0, 1, exclude_max=True), bit=st.integers(0, 6))
def test_any_flipped_byte_is_found(desk, second, name, place, bit):
    row = models.Review.objects.select_related("validation", "organisation").first()
    if row is None:
        row = reviewed(signed(desk), second)
    old = getattr(row, name)
    data = bytearray(old.encode())
    data[int(place * len(data))] ^= 1 << bit
    setattr(row, name, data.decode("utf-8", errors="replace"))
    assert statement.review_faults(row, keys.public_keys())


@pytest.mark.parametrize("change", ["reviewer", "time", "event", "validation", "record", "own name", "key"])
def test_it_moves_nowhere(desk, second, change):
    first, other = signed(desk), signed(desk, cabinet=desk.cabinet)
    row = reviewed(other, second)
    if change == "reviewer":
        row.reviewer = desk.stranger
    elif change == "time":
        row.reviewed_at += timedelta(seconds=1)
    elif change == "event":
        row.event_seq += 1
    elif change == "validation":
        row.validation = first
    elif change == "record":  # the validation signed anew over another record
        row.validation.record_text = row.validation.record_text.replace("approved", "Approved", 1)
        statement.seal(row.validation, keys.own_key())
    elif change == "own name":  # even with the key nobody reviews their own
        row.reviewer = desk.user
        statement.seal_review(row, keys.own_key())
    else:
        statement.seal_review(row, keys.Key.new())
    assert statement.review_faults(row, keys.public_keys())


@pytest.mark.tampers
def test_the_check_of_the_trail_names_a_review_put_in_or_altered(desk, second):
    from django.db import connection

    from stillroom.records import guards

    row = reviewed(signed(desk), second)
    guards.remove(connection)
    with connection.cursor() as cursor:
        cursor.execute("UPDATE records_review SET reviewer_name = 'Other'")
    found = [str(finding) for finding in verify().findings]
    where = f"review of validation {row.validation.number} ({row.validation.key})"
    assert any(where in words and "was altered" in words for words in found)
    assert any(f"review:{row.pk} · was altered behind the trail's back" in words for words in found)


# -- the forms that people read --


@pytest.fixture
def reviewer(client, second):
    client.force_login(second, backend=BACKEND)
    return client


def post(client, validation, **other):
    given = {"username": "third", "password": PASSWORD} | other
    return client.post(reverse("review", args=[validation.key]), given)


def test_on_the_page(desk, reviewer):
    validation = signed(desk)
    place = reverse("validation", args=[validation.key])
    address = reverse("review", args=[validation.key])
    assert address in reviewer.get(place).content.decode()
    for wrong in ({"password": "wrong words here 12"}, {"username": ""}, {"username": "one"}):
        assert "Error" in post(reviewer, validation, **wrong).content.decode()
    assert not models.Review.objects.exists()
    assert post(reviewer, validation)["Location"] == place
    shown = reviewer.get(place).content.decode()
    row = models.Review.objects.get()
    for part in ("Third Invented", "reviewed", f"{row.reviewed_at:%Y-%m-%dT%H:%M:%SZ}", row.head):
        assert part in shown
    assert address not in shown
    assert post(reviewer, validation)["Location"] == place and models.Review.objects.count() == 1


def test_the_signer_and_readers_are_not_offered_it(desk, client):
    validation = signed(desk)
    for user in (desk.user, person(desk, "reads", "reader")):
        client.force_login(user, backend=BACKEND)
        place = reverse("validation", args=[validation.key])
        assert reverse("review", args=[validation.key]) not in client.get(place).content.decode()
        client.post(
            reverse("review", args=[validation.key]), {"username": user.username, "password": PASSWORD}
        )
    assert not models.Review.objects.exists()


def test_another_organisation_does_not_see_it(desk, second, client):
    validation = signed(desk)
    client.force_login(desk.stranger, backend=BACKEND)
    assert post(client, validation, username="two").status_code == 404
    reviewed(validation, second)
    paper = reverse("signed-paper", args=[validation.key, "review.json"])
    assert client.get(paper).status_code == 404


def test_papers_made_afterwards_carry_it_and_the_record_stays(desk, reviewer):
    validation = signed(desk)
    names = ("record.pdf", "label.pdf", "label-a6.pdf", "shelves.pdf", "record.json", "review.json")

    def made(name):
        return reviewer.get(reverse("signed-paper", args=[validation.key, name]))

    assert made("review.json").status_code == 404
    assert "reviewed" not in text(made("record.pdf").content)
    post(reviewer, validation)
    row = models.Review.objects.get()
    files = {name: made(name).content for name in names}
    at = row.reviewed_at
    words = f"Third Invented, reviewed, {day(f'{at:%Y-%m-%d}', ENGLISH)}, {at:%H:%M:%S} UTC"
    for name in names[:4]:
        assert squeezed(words) in squeezed(text(files[name])), name
        assert squeezed(validation.signer_name) in squeezed(text(files[name])), name
    assert hashlib.sha256(files["record.json"]).hexdigest() == validation.record_sha256
    said = json.loads(files["review.json"])
    assert hashlib.sha256(statement.canonical(said["statement"]).encode()).hexdigest() == row.statement_sha256
    assert said["statement_sha256"] == row.statement_sha256
    assert keys.verifies(
        keys.public_keys()[said["key_id"]], statement.canonical(said["statement"]), said["signature"]
    )
    assert said["statement"]["meaning"] != REFUSED
