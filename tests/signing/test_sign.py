"""Signing: both components, a meaning that fits the verdict, one signature a case, all forms equal.

Yardstick: 21 CFR 11.50, 11.70 and 11.200 (designed after, not compliant with).
"""

from __future__ import annotations

import json
from datetime import date, timedelta

import pytest
from django.db import transaction

from signing.conftest import PASSWORD
from stillroom.records import keys, models, statement, store, trail
from stillroom.services.sign import CannotSign, meanings, record_of, sign
from stillroom.services.standing import standing_in, state_of
from stillroom.services.withdraw import withdraw

pytestmark = pytest.mark.django_db
APPROVED, REFUSED, REVIEWED = models.Validation.Meaning.values


def signed(desk, case=None, **other):
    user = other.pop("user", desk.user)
    given = {"cabinet": desk.cabinet, "meaning": APPROVED, "password": PASSWORD, "username": user.username}
    return sign(case or desk.case(), user, **given | other)


def test_a_signed_case_carries_name_meaning_and_time_everywhere(desk):
    validation = signed(desk)
    block = record_of(validation)["signature"]
    assert block["name"] == validation.signer_name == desk.user.get_full_name()
    assert block["meaning"] == validation.meaning == APPROVED
    assert block["time_utc"] == validation.signed_at.strftime("%Y-%m-%dT%H:%M:%SZ")
    assert block["validation"] == "V1"
    assert statement.faults(validation, keys.public_keys()) == []
    event = trail.events(desk.organisation).first()
    assert (event.action, event.subject) == ("validation.signed", f"validation:{validation.key}")
    assert block["trail_head"] == trail.events(desk.organisation)[1].hash[:32]
    assert int(block["trail_event"]) == event.seq - 1


@pytest.mark.parametrize("password", ["", "wrong", PASSWORD + " ", PASSWORD.upper()])
def test_without_the_password_nothing_is_signed(desk, password):
    case, before = desk.case(), models.Event.objects.count()
    with pytest.raises(CannotSign, match="password"):
        signed(desk, case, password=password)
    assert not models.Validation.objects.exists()
    assert models.Event.objects.count() == before


@pytest.mark.parametrize("username", ["", "two", "One", "one ", "nobody"])
def test_without_the_user_name_no_first_signature_of_a_session(desk, username):
    """11.200(a)(1)(i): the first takes both components, whoever is signed in."""
    case, before = desk.case(), models.Event.objects.count()
    with pytest.raises(CannotSign, match=r"[Uu]ser name"):
        signed(desk, case, username=username)
    assert not models.Validation.objects.exists()
    assert models.Event.objects.count() == before


def test_after_it_the_password_is_enough_and_never_less(desk):
    first = signed(desk)
    second = signed(desk, username="", continued=True)
    assert second.supersedes == first
    for wrong in ({"password": "wrong"}, {"password": ""}, {"username": "two"}):
        with pytest.raises(CannotSign, match="match"):
            signed(desk, **{"username": "", "continued": True} | wrong)
    assert models.Validation.objects.count() == 2


def test_the_name_and_password_of_another_do_not_sign(desk):
    with pytest.raises(CannotSign, match="do not match"):
        signed(desk, username=desk.stranger.username)
    assert not models.Validation.objects.exists()


@pytest.mark.parametrize(
    ("verdict", "meaning", "may"),
    [
        ("approved", APPROVED, True),
        ("approved with conditions", APPROVED, True),
        ("approved", REFUSED, True),
        ("not approved", REFUSED, True),
        ("cannot tell", REFUSED, True),
        ("not approved", APPROVED, False),
        ("cannot tell", APPROVED, False),
        ("approved", REVIEWED, False),
        ("approved", "liked", False),
        ("approved", "", False),
    ],
)
def test_a_refusal_is_never_signed_as_an_approval(desk, verdict, meaning, may):
    assert (meaning in meanings(verdict)) is may
    if may:
        assert signed(desk, desk.case(verdict), meaning=meaning, reason="a draught").meaning == meaning
    else:
        with pytest.raises(CannotSign, match="signed as"):
            signed(desk, desk.case(verdict), meaning=meaning)
        assert not models.Validation.objects.exists()


def test_a_draft_is_not_signed(desk):
    draft = store.new_draft(desk.organisation, desk.user, title="Draft", inputs={})
    with pytest.raises(CannotSign, match="draft"):
        signed(desk, draft)


def test_a_case_is_signed_once(desk):
    case = desk.case()
    signed(desk, case)
    with pytest.raises(CannotSign, match="already"):
        signed(desk, case)
    assert models.Validation.objects.count() == 1


def test_strangers_readers_and_foreign_cabinets_are_refused(desk):
    case = desk.case()
    with pytest.raises(CannotSign, match="owner or a validator"):
        signed(desk, case, user=desk.stranger)
    with pytest.raises(CannotSign, match="another organisation"):
        signed(desk, case, cabinet=desk.foreign)
    with trail.writing(None, desk.user, reason="becomes a reader"):
        membership = desk.user.memberships.get()
        membership.role = "reader"
        membership.save()
    with pytest.raises(CannotSign, match="owner or a validator"):
        signed(desk, case)
    assert not models.Validation.objects.exists()


def test_a_cabinet_out_of_use_gets_no_validation(desk):
    with trail.writing(desk.organisation, desk.user, reason="scrapped"):
        desk.cabinet.retired = date(2026, 1, 1)
        desk.cabinet.save()
    with pytest.raises(CannotSign, match="out of use"):
        signed(desk)


def test_a_new_approval_supersedes_and_a_refusal_does_not(desk):
    first = signed(desk)
    refused = signed(desk, desk.case("not approved"), meaning=REFUSED)
    on = first.signed_at.date()
    assert standing_in(desk.cabinet, on) == first
    assert refused.supersedes is None
    second = signed(desk)
    assert second.supersedes == first
    first = models.Validation.objects.get(pk=first.pk)
    assert state_of(first, on).kind == "superseded"
    assert state_of(first, on).by == second
    assert state_of(refused, on).kind == "refused"
    assert standing_in(desk.cabinet, on) == second
    assert (second.number, second.version) == (3, 3)


def test_a_validation_runs_out_the_day_after_its_date(desk):
    validation = signed(desk)
    assert state_of(validation, validation.valid_until).holds
    assert state_of(validation, validation.valid_until + timedelta(days=1)).kind == "expired"


def test_withdrawn_with_reason_and_password(desk):
    validation = signed(desk)
    with pytest.raises(CannotSign, match="password"):
        withdraw(validation, desk.user, reason="spill", password="wrong")
    with pytest.raises(CannotSign, match="why"):
        withdraw(validation, desk.user, reason="  ", password=PASSWORD)
    withdraw(validation, desk.user, reason="a bottle broke", password=PASSWORD)
    validation = models.Validation.objects.get(pk=validation.pk)
    state = state_of(validation, validation.signed_at.date())
    assert (state.kind, state.reason, state.holds) == ("withdrawn", "a bottle broke", False)
    assert standing_in(desk.cabinet, validation.signed_at.date()) is None
    with pytest.raises(CannotSign, match="already"):
        withdraw(validation, desk.user, reason="again", password=PASSWORD)


STATES = ("draft", "assessed", "signed", "refused", "superseded", "withdrawn")


def _in_state(desk, state):
    """The case, or its validation, in that state."""
    if state == "draft":
        return store.new_draft(desk.organisation, desk.user, title="D", inputs={})
    if state == "refused":
        return signed(desk, desk.case("not approved"), meaning=REFUSED)
    case = desk.case()
    if state == "assessed":
        return case
    validation = signed(desk, case)
    if state == "superseded":
        signed(desk)
    if state == "withdrawn":
        withdraw(validation, desk.user, reason="r", password=PASSWORD)
    return models.Validation.objects.get(pk=validation.pk)


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("verb", ["edit", "conclude", "sign", "withdraw"])
def test_every_step_from_every_state(desk, state, verb):
    """The order of the steps is kept on the server: what is not allowed changes nothing (11.10(f), ASVS 2.3.1)."""
    may = {("draft", "edit"), ("draft", "conclude"), ("assessed", "sign"), ("signed", "withdraw")}
    thing = _in_state(desk, state)
    case = thing if state in ("draft", "assessed") else thing.assessment
    before = (models.Event.objects.count(), models.Validation.objects.count())

    def act():
        if verb == "edit":
            store.update_draft(case, desk.user, title="Other")
        elif verb == "conclude":
            from audit.rows import TABLES
            from documents.sample_record import sample_record

            if state == "draft":
                store.update_draft(case, desk.user, **TABLES)
            store.conclude(case, desk.user, record=sample_record())
        elif verb == "sign":
            signed(desk, case)
        else:
            if state in ("draft", "assessed"):
                raise CannotSign("there is nothing to withdraw")
            withdraw(thing, desk.user, reason="r", password=PASSWORD)

    if (state, verb) in may:
        act()
        assert (models.Event.objects.count(), models.Validation.objects.count()) != before
    else:
        with pytest.raises((CannotSign, store.AlreadyAssessed)):
            act()
        assert (models.Event.objects.count(), models.Validation.objects.count()) == before


def test_the_orms_ordinary_calls_do_not_alter_a_signed_record(desk):
    validation = signed(desk)
    rows = models.Validation.objects.filter(pk=validation.pk)
    kept = rows.values().get()
    validation.meaning = REFUSED
    attempts = [
        validation.save,
        validation.delete,
        lambda: rows.update(meaning=REFUSED),
        rows.delete,
        lambda: models.Validation.objects.bulk_update([validation], ["meaning"]),
        lambda: models.Validation.objects.update_or_create(pk=validation.pk, defaults={"meaning": REFUSED}),
        lambda: models.Assessment.objects.filter(validation=validation).update(title="Other"),
    ]
    for attempt in attempts:
        with pytest.raises((trail.NotThroughTrail, trail.Frozen)), transaction.atomic():
            attempt()
    with pytest.raises(trail.Frozen), trail.writing(desk.organisation, desk.user, reason="through the trail"):
        validation.save()
    assert rows.values().get() == kept


def test_the_record_signed_is_the_record_computed(desk):
    case = desk.case()
    validation = signed(desk, case)
    record = record_of(validation)
    record.pop("signature")
    stored = json.loads(json.dumps(models.Assessment.objects.get(pk=case.pk).record))
    stored.pop("signature", None)
    assert record == stored


def test_a_person_may_refuse_what_was_computed_as_an_approval_and_the_papers_say_so(desk):
    case = desk.case("approved")
    with pytest.raises(CannotSign, match="why"):
        signed(desk, case, meaning=REFUSED)
    validation = signed(desk, case, meaning=REFUSED, reason="The cabinet stands in a draught.")
    record = record_of(validation)
    assert record["verdict"] == "not approved"
    assert "draught" in record["verdict_words"][0]
    assert validation.valid_until is None
    assert standing_in(desk.cabinet, validation.signed_at.date()) is None


def test_what_ran_out_is_signed_as_no_approval(desk):
    """A signature does not make an assessment younger: its date is that of the assessment."""
    case = desk.case(valid_until="2026-01-31")
    with pytest.raises(CannotSign, match="ran out on 2026-01-31"):
        signed(desk, case)
    assert signed(desk, case, meaning=REFUSED, reason="too old").valid_until is None


def test_without_a_name_to_print_nobody_signs(desk):
    with trail.writing(None, desk.user, reason="no name"):
        desk.user.full_name = " "
        desk.user.save()
    with pytest.raises(CannotSign, match="full name"):
        signed(desk)


def test_rights_lost_while_the_password_was_checked_count(desk):
    case = desk.case()

    def check(user, password):
        with trail.writing(None, user, reason="leaves"):
            other = models.User.objects.get(pk=user.pk)
            other.is_active = False
            other.save()
        return True

    with pytest.raises(CannotSign, match="deactivated"):
        signed(desk, case, check=check)
    assert not models.Validation.objects.exists()
