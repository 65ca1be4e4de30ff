"""A cabinet's page: each validation with its state, what is due, what was done, and nobody else's."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

from documents.sample_record import sample_record
from stillroom.records import models
from stillroom.records.store import conclude, new_draft
from stillroom.services.sign import sign
from stillroom.services.withdraw import withdraw
from web.conftest import PASSWORD, inputs

pytestmark = pytest.mark.django_db
APPROVED, REFUSED, _ = models.Validation.Meaning.values
AHEAD = {"valid_until": "2199-06-06"}


def signed(side, meaning=APPROVED, reason=""):
    user = side.people["validator"]
    case = new_draft(side.organisation, user, title="A case", inputs=inputs())
    conclude(case, user, record=sample_record() | AHEAD)
    return sign(
        case, user, cabinet=side.cabinet, meaning=meaning, password=PASSWORD, continued=True, reason=reason
    )


def page(client, side):
    return client.get(reverse("kept", args=[side.cabinet.key])).content.decode()


def test_each_validation_with_its_state(ours, validator):
    signed(ours, REFUSED, "smells")
    second = signed(ours)
    text = page(validator, ours)
    assert "superseded by V3" in text
    assert re.search(r'class="state">refused\s*<', text)
    assert "Validation V3, signed by ours validator, stands until" in text
    withdraw(second, ours.people["validator"], reason="a bottle broke", password=PASSWORD)
    text = page(validator, ours)
    assert "withdrawn" in text
    own = validator.get(reverse("validation", args=[second.key])).content.decode()
    assert "No longer holds</p>" in own
    assert "nothing may be kept in it" in text


def test_what_is_due_and_what_was_done(ours, theirs, validator):
    signed(theirs)
    text = page(validator, ours)
    for part in ("Due here", "Visit and read", "Filter changes", "20 Nov", "Visits", "History"):
        assert part in text
    history = text[text.index("History") :]
    assert history.count("validation.created") == 1
    assert "theirs" not in history


def test_what_a_person_refused_says_so_beside_what_was_computed(ours, validator):
    row = signed(ours, REFUSED, "smells")
    text = validator.get(reverse("result", args=[row.assessment.key])).content.decode()
    assert text.index("Refused by the person who signed") < text.index("Approved with conditions</p>")
    assert "smells" in validator.get(reverse("validation", args=[row.key])).content.decode()
