"""A change is compared with the validation that it was started from, also where a copy of a copy was made."""

from __future__ import annotations

import datetime

import pytest
from django.urls import reverse

from stillroom.records.models import Withdrawal
from stillroom.records.store import conclude, copy_of, new_draft, update_draft
from stillroom.records.trail import writing
from stillroom.web.difference.words import state
from web.conftest import inputs
from web.stubs import fake_assess


def change(side, case, **room):
    user = side.people["validator"]
    copy = copy_of(case, user)
    update_draft(copy, user, **inputs(**room))
    conclude(copy, user, record=fake_assess(copy))
    return copy


def shown(client, case):
    return client.get(reverse("difference", kwargs={"key": case.key})).content.decode()


def test_a_copy_of_a_copy_is_compared_with_what_was_signed(ours, validator):
    first = change(ours, ours.done, air_changes_per_h=4.0)
    second = change(ours, first, air_changes_per_h=3.0)
    text = shown(validator, second)
    assert "Compared with validation V1 of Cabinet 3" in text and "<strong>standing</strong>" in text
    assert f"What changed from {ours.done.number} to {second.number}" in text
    asked = text[text.index("Air changes an hour") : text.index("What came out")]
    assert "<p>6</p>" in asked and "<p>3</p>" in asked, "not the four of the copy between"


def test_without_a_signature_it_is_the_copys_own_origin(ours, validator):
    unsigned = new_draft(ours.organisation, ours.people["validator"], title="Unsigned", inputs=inputs())
    update_draft(unsigned, ours.people["validator"], inventory=ours.done.inventory)
    conclude(unsigned, ours.people["validator"], record=fake_assess(unsigned))
    first = change(ours, unsigned, air_changes_per_h=4.0)
    second = change(ours, first, air_changes_per_h=3.0)
    text = shown(validator, second)
    assert "Compared with validation" not in text
    assert f"What changed from {first.number} to {second.number}" in text


def test_whether_it_still_holds_is_said(ours, validator):
    copy, user = change(ours, ours.done), ours.people["validator"]
    assert "<strong>standing</strong>" in shown(validator, copy)
    with writing(ours.organisation, user, reason="no longer"):
        Withdrawal.objects.create(
            organisation=ours.organisation, created_by=user, validation=ours.validation, reason="moved",
            by=user, at=datetime.datetime(2026, 11, 5, tzinfo=datetime.UTC),
        )  # fmt: skip
    assert "<strong>withdrawn</strong>" in shown(validator, copy)


@pytest.mark.parametrize(
    "day, words", [("2027-11-04", "standing"), ("2027-11-05", "past its date, 2027-11-04")]
)
def test_the_last_day_counts(day, words, ours):
    assert state(ours.validation, datetime.date.fromisoformat(day)) == words


def test_conflicts_and_conditions_that_come_and_go_stand_on_the_page(ours, validator):
    user, before = ours.people["validator"], ours.done.record
    gone, *kept = before["conflicts"]
    come = gone | {"names": ["Nitric acid", "Acetone"]}
    after = before | {"conflicts": [*kept, come], "conditions": [*before["conditions"][1:], "Lock the door."]}
    copy = copy_of(ours.done, user)
    conclude(copy, user, record=after)
    text = shown(validator, copy)
    conflicts = text[text.index("Neighbours that conflict") : text.index("Conditions that came or went")]
    assert "Nitric acid + Acetone" in conflicts and " + ".join(gone["names"]) in conflicts
    assert conflicts.count("<tr class=") == 2
    conditions = text[text.index("Conditions that came or went") : text.index("Substance by substance")]
    assert "Lock the door." in conditions and conditions.count("<tr class=") == 2


def test_the_next_step_stands_there(ours, client, validator):
    """Sign or change further, for whoever may; nothing to sign where it was signed or for a reader."""
    copy = change(ours, ours.done)
    page = shown(validator, copy)
    assert reverse("sign", args=[copy.key]) in page and f"Sign {copy.number}" in page
    assert reverse("change", args=[copy.key]) in page
    client.force_login(ours.people["reader"], backend="django.contrib.auth.backends.ModelBackend")
    page = shown(client, copy)
    assert "What came out" in page
    assert reverse("sign", args=[copy.key]) not in page and reverse("change", args=[copy.key]) not in page


def test_what_came_is_told_first_with_its_reasons_and_mere_figures_are_folded(ours, validator):
    user, before = ours.people["validator"], ours.done.record
    first, second, *rest = before["substances"]
    came = first | {"cas": "67-56-1", "name": "Methanol", "reasons": ["Its limit is kept."]}
    other = second | {"exhaust_fraction_of_limit": {"p05": 0.001, "p50": 0.002, "p95": 0.003}}
    copy = copy_of(ours.done, user)
    conclude(copy, user, record=before | {"substances": [first, other, *rest, came]})
    page = shown(validator, copy)
    told, folded = page[page.index("Substance by substance") :].split("<details>")
    assert "Methanol" in told and "Its limit is kept." in told and second["name"] not in told
    assert "One substance has other figures" in folded and second["name"] in folded
    assert told.index("not there") < told.index("Its limit is kept.")
