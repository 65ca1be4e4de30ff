"""Sign, withdraw, and what a label's page shows, through the pages."""

from __future__ import annotations

import json
import re

import pytest
from django.urls import reverse

from documents.sample_record import sample_record
from stillroom.records import models
from stillroom.records.store import conclude, new_draft
from web.conftest import PASSWORD, inputs

pytestmark = pytest.mark.django_db
APPROVED, REFUSED, _ = models.Validation.Meaning.values


@pytest.fixture
def case(ours):
    """Assessed as an approval, not signed yet."""
    row = new_draft(ours.organisation, ours.people["validator"], title="A case", inputs=inputs())
    conclude(row, ours.people["validator"], record=sample_record() | {"valid_until": "2199-06-06"})
    return row


def post(client, side, case, **other):
    given = {
        "cabinet": side.cabinet.key,
        "meaning": APPROVED,
        "username": "ours-validator",
        "password": PASSWORD,
    }
    return client.post(reverse("sign", args=[case.key]), given | other)


def test_signed_with_the_password_and_led_to_the_validation(ours, case, validator):
    response = post(validator, ours, case)
    row = models.Validation.objects.get(assessment=case)
    assert response["Location"] == reverse("validation", args=[row.key])
    text = validator.get(response["Location"]).content.decode()
    block = json.loads(row.record_text)["signature"]
    for part in (row.signer_name, APPROVED, block["time_utc"], block["trail_head"]):
        assert part in text
    assert reverse("label", args=[row.label_token]) in text


@pytest.mark.parametrize(
    "wrong",
    [{"password": "wrong words here 12"}, {"password": ""}, {"username": ""}, {"username": "ours-owner"}, {"username": "Ours-validator"}, {"meaning": ""}, {"meaning": "reviewed"}, {"cabinet": ""},
     {"cabinet": "abc"}, {"cabinet": "new"}, {"meaning": REFUSED}],
    ids=str,
)  # fmt: skip
def test_what_is_wrong_signs_nothing_and_says_so(ours, case, validator, wrong):
    before = models.Cabinet.objects.count()
    response = post(validator, ours, case, **wrong)
    assert response.status_code == 200
    assert "Error" in response.content.decode()
    assert not models.Validation.objects.filter(assessment=case).exists()
    assert models.Cabinet.objects.count() == before


def test_the_first_cabinets_name_is_not_optional():
    from stillroom.web.sign.form import SignForm

    first, later = (SignForm(cabinets=rows, meanings=(APPROVED,), asks_reason=False, continued=True) for rows in ((), (models.Cabinet(name="C"),)))  # fmt: skip
    assert first.fields["name"].required and "optional" not in str(first["name"].label)
    assert not later.fields["name"].required
    assert list(first.fields) == list(later.fields)


def another(ours):
    row = new_draft(ours.organisation, ours.people["validator"], title="Another", inputs=inputs())
    conclude(row, ours.people["validator"], record=sample_record() | {"valid_until": "2199-06-06"})
    return row


def test_the_user_name_is_asked_for_once_a_session(ours, case, validator):
    """11.200(a)(1): the first signature takes both, a later one in the session the password, a new session both again."""

    def asks(client, row):
        return 'name="username"' in client.get(reverse("sign", args=[row.key])).content.decode()

    def is_signed(row):
        return models.Validation.objects.filter(assessment=row).exists()

    def sent(row, **other):
        post(validator, ours, row, username="", **other)
        return is_signed(row)

    second, third, fourth = (another(ours) for _ in range(3))
    assert asks(validator, case) and not sent(case)
    post(validator, ours, case, password="wrong words here 12")
    assert asks(validator, case) and not sent(case), "a failed try is no signature"
    post(validator, ours, case)
    assert is_signed(case)
    assert not asks(validator, second)
    assert not sent(second, password="wrong words here 12")
    assert sent(second)
    validator.post(reverse("logout"))
    validator.force_login(ours.people["validator"], backend="django.contrib.auth.backends.ModelBackend")
    assert asks(validator, third) and not sent(third)
    post(validator, ours, third)
    assert is_signed(third)
    session = validator.session  # a changed password gives it another key
    session.cycle_key()
    validator.cookies["sessionid"] = session.session_key
    assert asks(validator, fourth) and not sent(fourth)


@pytest.mark.parametrize("wrong", [{"password": "wrong words here 12"}, {"username": "ours-owner"}], ids=str)
def test_ten_failed_tries_lock_the_signature_as_they_lock_the_sign_in(ours, case, validator, wrong):
    for _try in range(10):
        post(validator, ours, case, **wrong)
    post(validator, ours, case)
    assert not models.Validation.objects.filter(assessment=case).exists()


def test_a_cabinet_of_another_organisation_cannot_be_chosen(ours, theirs, case, validator):
    assert post(validator, ours, case, cabinet=theirs.cabinet.key).status_code == 200
    assert not models.Validation.objects.filter(assessment=case).exists()


def test_signed_for_a_new_cabinet(ours, case, validator):
    post(validator, ours, case, cabinet="new", name="Cabinet 9")
    assert models.Validation.objects.get(assessment=case).cabinet.name == "Cabinet 9"


def test_anybody_sees_on_the_labels_page_what_the_label_shows_and_nothing_else(ours, client):
    row = ours.validation
    text = client.get(reverse("label", args=[row.label_token])).content.decode()
    record = json.loads(row.record_text)
    assert "This label holds" in text
    for item in record["substances"]:
        assert (item["name"] in text) is (item["verdict"] in ("approved", "approved with conditions"))
    for hidden in (row.signer_name, record["input_sha256"], row.assessment.key, row.signer.username, "nav"):
        assert hidden not in re.sub(r"<style.*?</style>", "", text)


def test_a_labels_page_says_when_it_no_longer_holds(ours, case, validator, client):
    place = reverse("label", args=[ours.validation.label_token])
    post(validator, ours, case)
    assert "no longer holds" in client.get(place).content.decode()


def test_withdrawn_for_everybody_to_see(ours, validator, client):
    place = reverse("withdraw", args=[ours.validation.key])
    assert (
        validator.post(place, {"reason": "a bottle broke", "password": "wrong words 12"}).status_code == 200
    )
    assert not models.Withdrawal.objects.exists()
    assert validator.post(place, {"reason": "a bottle broke", "password": PASSWORD}).status_code == 302
    text = client.get(reverse("label", args=[ours.validation.label_token])).content.decode()
    assert "no longer holds" in text
    assert "a bottle broke" not in text
    assert (
        "a bottle broke" in validator.get(reverse("validation", args=[ours.validation.key])).content.decode()
    )
    assert validator.get(place).status_code == 302


@pytest.mark.parametrize("token", ["x", "A" * 22, "../../x", "%00"])
def test_an_unknown_token_is_as_absent_as_any(client, token):
    assert client.get(f"/v/{token}/").status_code == 404


def test_a_labels_page_is_kept_by_no_cache_and_found_by_no_search(ours, client):
    response = client.get(reverse("label", args=[ours.validation.label_token]))
    assert response["Cache-Control"] == "no-store"
    assert "noindex" in response["X-Robots-Tag"]


def test_cabinets_are_taken_in_and_renamed(ours, validator):
    response = validator.post(reverse("cabinet-new"), {"name": "Cabinet 4", "site": "Invented Works"})
    row = models.Cabinet.objects.get(name="Cabinet 4")
    assert response["Location"] == reverse("kept", args=[row.key])
    again = validator.post(reverse("cabinet-new"), {"name": "Cabinet 4", "site": "Invented Works"})
    assert "another cabinet" in again.content.decode()
    validator.post(response["Location"], {"name": "Cabinet 5", "site": "Invented Works"})
    assert models.Cabinet.objects.get(pk=row.pk).name == "Cabinet 5"
