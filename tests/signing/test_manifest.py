"""Who signed, as what, when, under which number and where in the trail: the same on paper, as data and on the page.

Yardstick: 21 CFR 11.50(b), in every readable form of the record (designed after, not compliant with).
"""

from __future__ import annotations

import hashlib
import json
import re

import pytest
from django.urls import reverse

from documents.reading import squeezed, text
from signing.test_sign import signed
from stillroom.documents.figures import day
from stillroom.documents.words import ENGLISH
from stillroom.records import models
from stillroom.services.papers import papers
from stillroom.services.sign import record_of

pytestmark = pytest.mark.django_db
APPROVED, REFUSED, _ = models.Validation.Meaning.values
NOT_SIGNED = ("Not signed", "not signed")
PAPERS = ("record.pdf", "label.pdf", "label-a6.pdf", "shelves.pdf")


@pytest.fixture(params=["approved", "refused as computed", "refused by hand"])
def validation(request, desk):
    case = desk.case("not approved" if request.param == "refused as computed" else "approved")
    meaning = APPROVED if request.param == "approved" else REFUSED
    return signed(desk, case, meaning=meaning, reason="too old")


@pytest.fixture
def files(validation, client, desk):
    """Every paper as the page hands it out."""
    client.force_login(desk.user, backend="django.contrib.auth.backends.ModelBackend")
    names = (*PAPERS, "record.json")
    return {name: client.get(reverse("signed-paper", args=[validation.key, name])).content for name in names}


def test_all_forms_say_the_same(validation, files, client):
    at = validation.signed_at
    said = json.loads(files["record.json"])["signature"]
    assert said == {
        "name": validation.signer_name, "meaning": validation.meaning, "time_utc": f"{at:%Y-%m-%dT%H:%M:%S}Z",
        "validation": f"V{validation.number}", "cabinet": str(validation.cabinet),
        "trail_event": str(validation.event_seq), "trail_head": validation.head,
    }  # fmt: skip
    assert at.microsecond == 0, "no form has a finer time than another"
    printed = (
        said["name"], said["meaning"], f"{day(f'{at:%Y-%m-%d}', ENGLISH)}, {at:%H:%M:%S} UTC", said["validation"],
        f"trail {said['trail_event']}", said["trail_head"],
    )  # fmt: skip
    for name in PAPERS:
        for part in printed:
            assert squeezed(part) in squeezed(text(files[name])), (name, part)
    page = client.get(reverse("validation", args=[validation.key])).content.decode()
    for part in said.values():
        assert part in page


def test_the_file_is_the_text_that_was_signed(validation, files):
    assert hashlib.sha256(files["record.json"]).hexdigest() == validation.record_sha256


def test_numbers_print_as_they_did_before_they_were_signed(validation, files):
    """Canonical JSON spells 5.0 as 5; the papers must not care."""
    before = record_of(validation) | {
        name: value
        for name, value in validation.assessment.record.items()
        if name not in ("verdict", "verdict_words", "signature")
    }
    before = json.loads(json.dumps(before, sort_keys=True))  # the order of rules is the keys' own
    made = papers(before, base_url="http://testserver", path=f"v/{validation.label_token}/")
    for name in PAPERS:
        assert text(made[name]) == text(files[name]), name


def test_the_banner_goes_with_the_signature_and_not_before(validation, files):
    unsigned = papers(validation.assessment.record | {"signature": None})
    approves = validation.assessment.verdict == "approved"
    for name in PAPERS:
        assert not any(words in text(files[name]) for words in NOT_SIGNED), name
        assert any(words in text(unsigned[name]) for words in NOT_SIGNED) or not approves, name


def test_what_a_person_refused_permits_nothing(validation, files):
    permits = "LISTED ONLY" in text(files["label.pdf"])
    assert permits is (validation.meaning == APPROVED)
    assert ("do not fill this cabinet" in text(files["shelves.pdf"])) is not permits
    if validation.meaning == REFUSED and validation.assessment.verdict == "approved":
        for name in ("record.pdf", "label.pdf"):
            assert re.search(r"Refused by .*: too old", text(files[name])), name


def test_the_papers_of_a_signed_case_are_those_of_its_validation(validation, client, desk):
    client.force_login(desk.user, backend="django.contrib.auth.backends.ModelBackend")
    asked = reverse("paper", kwargs={"key": validation.assessment.key, "name": "label.pdf"})
    assert client.get(asked)["Location"] == reverse("signed-paper", args=[validation.key, "label.pdf"])
