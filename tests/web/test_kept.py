"""A cabinet's page: each validation with its state, what is due, what was done, and nobody else's."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime

import pytest
from django.urls import reverse

from documents.sample_record import sample_record
from stillroom.records import models
from stillroom.records.store import conclude, new_draft
from stillroom.records.trail import writing
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


def test_readings_that_do_not_fit_are_seen_on_the_cabinets_page_and_say_what_to_do_meanwhile(ours, validator):
    assert "Cannot tell" in page(validator, ours)
    assert "Does not fit" not in page(validator, ours)
    user = ours.people["validator"]
    together = {"on": "2026-11-06", "verdict": "inconsistent", "words": ["Inconsistent."], "life": None,
                "look_at_first": [{"words": "the seal leaks", "probability": 0.8}]}  # fmt: skip
    own = {"organisation": ours.organisation, "created_by": user}
    with writing(ours.organisation, user, reason="a visit"):
        visit = models.Visit.objects.create(
            cabinet=ours.cabinet, validation=ours.validation, on=date(2026, 11, 6), person="Ada", **own
        )
        models.Reading.objects.create(
            visit=visit, instrument=ours.instrument, point="exhaust", value_ppm="80",
            measured_at=datetime(2026, 11, 6, 12, tzinfo=UTC), answer={"together": together, "bed_number": 1}, **own,
        )  # fmt: skip
    assert '<span class="open">Does not fit</span>' in page(validator, ours)
    told = validator.get(reverse("visit-answer", args=[visit.key])).content.decode()
    assert (
        told.index("the seal leaks")
        < told.index("do not rely on the filter")
        < told.index("Reading by reading")
    )


def test_an_old_visit_does_not_tell_the_forecast_of_the_filter_that_came_after_it(ours, validator):
    own = {"organisation": ours.organisation, "created_by": ours.people["validator"]}
    with writing(ours.organisation, ours.people["validator"], reason="a visit and a change"):
        models.FilterChange.objects.create(cabinet=ours.cabinet, on=date(2026, 11, 21), by="Ada", reason="a torn gasket", leak_check={"result": "failed"}, **own)  # fmt: skip
        visits = [models.Visit.objects.create(cabinet=ours.cabinet, validation=ours.validation, on=day, person="Ada", **own) for day in (date(2026, 11, 20), date(2026, 11, 22))]  # fmt: skip
        for visit, installed in zip(visits, ("2026-11-01", "2026-11-21"), strict=True):
            answer = {
                "together": {"verdict": "cannot tell", "words": [], "life": None, "installed": installed}
            }
            models.Reading.objects.create(visit=visit, instrument=ours.instrument, point="exhaust", value_ppm="1", measured_at=datetime(2026, 11, 22, tzinfo=UTC), answer=answer, **own)  # fmt: skip
    before, after = (
        validator.get(reverse("visit-answer", args=[visit.key])).content.decode() for visit in visits
    )
    assert "The filter that was read here is out" in before and "The filter: put in on" not in before
    assert (
        "The filter that was read here is out" not in after
        and "The filter: put in on 21 November 2026" in after
    )
    assert "a torn gasket · leak check: failed" in page(validator, ours)


def test_every_page_at_the_cabinet_leads_back_to_it(ours, validator):
    home = f'<a class="back" href="{reverse("kept", args=[ours.cabinet.key])}">'
    for address in (
        reverse("visit", args=[ours.cabinet.key]),
        reverse("visit-answer", args=[ours.visit.key]),
        reverse("filter-change", args=[ours.cabinet.key]),
    ):
        assert home in validator.get(address).content.decode(), address


def test_who_comes_to_enter_a_filter_change_finds_the_form_open(ours, validator):
    onward = re.search(r'href="([^"]*enter=1)#enter"', page(validator, ours))[1]
    assert '<details id="enter" open>' in validator.get(onward).content.decode()
    plain = reverse("filter-change", args=[ours.cabinet.key])
    assert '<details id="enter">' in validator.get(plain).content.decode()


def test_the_conditions_stand_where_they_are_called_below(ours, validator):
    row = signed(ours)
    text = validator.get(reverse("validation", args=[row.key])).content.decode()
    conditions = sample_record()["conditions"]
    assert conditions and text.count("<li>") >= len(conditions)
    listed = text[text.index("<h2>Conditions</h2>") : text.index("<h2>Signature</h2>")]
    assert listed.count("<li>") == len(conditions)
