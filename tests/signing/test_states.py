"""Every ordered pair of states: the allowed step goes, every other is refused on the server and changes nothing.

Yardstick: 21 CFR 11.10(f) and OWASP ASVS 5.0, 2.3.1 (designed after, not compliant with). The services' own refusals: test_sign.
"""

from __future__ import annotations

import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from signing.conftest import PASSWORD
from signing.test_sign import signed
from stillroom.records import models, store, trail
from stillroom.services.sign import CannotSign
from stillroom.services.standing import state_of
from stillroom.services.withdraw import withdraw
from web.conftest import INVENTORY, inputs

pytestmark = pytest.mark.django_db
APPROVED, REFUSED, _ = models.Validation.Meaning.values
STATES = ("draft", "assessed", "standing", "expired", "refused", "superseded", "withdrawn")
MAY = {
    ("draft", "assessed"), ("assessed", "standing"), ("assessed", "refused"), ("standing", "superseded"),
    ("standing", "withdrawn"), ("expired", "superseded"), ("expired", "withdrawn"), ("standing", "expired"),
}  # fmt: skip
"""Drafts are signed by nobody, nothing signed goes back, what is withdrawn or refused stays so. Only time lets one expire."""


@pytest.fixture
def later(monkeypatch):
    """Lets the clock stand after the date of every validation."""
    now = datetime.datetime(2200, 1, 1, 12, tzinfo=datetime.UTC)
    return lambda: monkeypatch.setattr(timezone, "now", lambda: now)


def case_in(state, desk, later):
    """A case that is in this state now."""
    if state == "draft":
        draft = store.new_draft(desk.organisation, desk.user, title="D", inputs=inputs())
        file = store.keep_file(desk.organisation, desk.user, name="bottles.csv", content=INVENTORY)
        store.update_draft(draft, desk.user, inventory=file)
        return draft
    case = desk.case()
    if state == "assessed":
        return case
    row = signed(desk, case, **({"meaning": REFUSED, "reason": "r"} if state == "refused" else {}))
    if state == "superseded":
        signed(desk)
    elif state == "withdrawn":
        withdraw(row, desk.user, reason="r", password=PASSWORD)
    elif state == "expired":
        later()
    return case


def state_now(case):
    row = models.Assessment.objects.get(pk=case.pk)
    validation = models.Validation.objects.filter(assessment=row).first()
    return state_of(validation, timezone.now().date()).kind if validation else str(row.state)


def by_service(desk, case, to):
    """The verb that leads there, asked of the services."""
    from documents.sample_record import sample_record

    validation = models.Validation.objects.filter(assessment=case).first()
    if to == "draft":
        store.update_draft(case, desk.user, title="Other")
    elif to == "assessed":
        store.conclude(case, desk.user, record=sample_record())
    elif to == "standing":
        signed(desk, case)
    elif to == "refused":
        signed(desk, case, meaning=REFUSED, reason="r")
    elif to == "superseded":
        signed(desk, desk.case(valid_until="2299-06-06"))
    elif to == "withdrawn" and validation:
        withdraw(validation, desk.user, reason="r", password=PASSWORD)


def by_page(desk, case, to, client):
    """The same, sent as forms by a signed-in validator who knows every address."""
    client.force_login(desk.user, backend="django.contrib.auth.backends.ModelBackend")
    validation = models.Validation.objects.filter(assessment=case).first()
    given = {"cabinet": desk.cabinet.key, "username": "one", "password": PASSWORD, "reason": "r"}
    if to == "draft":
        client.post(reverse("room", args=[case.key]), {"name": "Other"})
        client.post(reverse("inventory", args=[case.key]), {"pasted": "name\nwater"})
    elif to == "assessed":
        client.post(reverse("check", args=[case.key]), {"title": "Other"})
    elif to in ("standing", "refused"):
        meaning = APPROVED if to == "standing" else REFUSED
        client.post(reverse("sign", args=[case.key]), given | {"meaning": meaning})
    elif to == "superseded":
        other = desk.case(valid_until="2299-06-06")
        client.post(reverse("sign", args=[other.key]), given | {"meaning": APPROVED})
    elif to == "withdrawn" and validation:
        client.post(reverse("withdraw", args=[validation.key]), given)


@pytest.fixture
def pages(monkeypatch):
    from documents.sample_record import sample_record
    from stillroom.web.shared import core

    monkeypatch.setattr(core, "assess", lambda case: dict(sample_record()))


PAIRS = [(old, new) for old in STATES for new in STATES if old != new and new != "expired"]


@pytest.mark.parametrize(("old", "new"), PAIRS)
def test_in_the_services(old, new, desk, later):
    case = case_in(old, desk, later)
    assert state_now(case) == old
    refused = None
    try:
        by_service(desk, case, new)
    except (CannotSign, store.AlreadyAssessed) as error:
        refused = error
    assert state_now(case) == (new if (old, new) in MAY else old)
    assert refused is None or (old, new) not in MAY
    # what takes another's place, or has nothing to withdraw, is no error; everything else says why not
    assert (
        refused or (old, new) in MAY or new in ("superseded", "withdrawn") or (old, new) == ("draft", "draft")
    )


@pytest.mark.parametrize(("old", "new"), PAIRS)
def test_on_the_pages(old, new, desk, later, client, pages):
    case = case_in(old, desk, later)
    before = models.Assessment.objects.filter(pk=case.pk).values().get()
    by_page(desk, case, new, client)
    assert state_now(case) == (new if (old, new) in MAY else old)
    if not (old == "draft" or (old, new) in MAY):
        assert models.Assessment.objects.filter(pk=case.pk).values().get() == before


@pytest.mark.parametrize("what", ["change", "delete"])
@pytest.mark.parametrize("kind", ["validation", "assessment", "withdrawal", "event", "storedfile"])
def test_the_admin_site_alters_nothing_that_was_signed(desk, client, kind, what):
    with trail.writing(None, desk.user, reason="all rights"):
        desk.user.is_staff = desk.user.is_superuser = True
        desk.user.save()
    validation = signed(desk)
    withdraw(validation, desk.user, reason="r", password=PASSWORD)
    model = next(one for one in (
        models.Validation, models.Assessment, models.Withdrawal, models.Event, models.StoredFile,
    ) if one._meta.model_name == kind)  # fmt: skip
    client.force_login(desk.user, backend="django.contrib.auth.backends.ModelBackend")
    kept = list(model.objects.order_by("pk").values())
    row = model.objects.filter(**({"log": desk.organisation.key} if kind == "event" else {})).first()
    place = reverse(f"admin:records_{kind}_{what}", args=[row.pk])
    answer = client.post(
        place, {"post": "yes", "meaning": "refused", "title": "x", "reason": "x", "name": "x"}
    )
    assert answer.status_code == 403
    assert list(model.objects.order_by("pk").values()) == kept
