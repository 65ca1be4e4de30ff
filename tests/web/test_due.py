"""The page of what is due, its files, and the calendar at a private address."""

from __future__ import annotations

import datetime
import io

import icalendar
import pytest
import python_calamine
from django.urls import reverse

from stillroom.records.models import CalendarAddress, Event
from stillroom.records.trail import writing
from stillroom.services import due as verb
from web.conftest import make_side

BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture(autouse=True)
def a_day(monkeypatch):
    """The invented validation holds until 4 November 2027: as seen from three days later."""
    from django.utils import timezone

    monkeypatch.setattr(timezone, "localdate", lambda *_: datetime.date(2027, 11, 7))


def shown(client, **query):
    return client.get(reverse("due"), query).content.decode()


def test_overdue_first_with_cabinet_place_date_what_and_a_link(ours, validator):
    text = shown(validator)
    assert "Overdue (" in text and "3 days late" in text
    assert "4 November 2027" in text and "the cabinet is not approved any more" in text
    assert f'href="{reverse("kept", args=[ours.cabinet.key])}"' in text and "Invented Works" in text
    assert f'href="{reverse("instrument", args=[ours.instrument.key])}"' in text
    late = text[text.index("Overdue (") :]
    assert "Detector 7 (invented)" in late, "its calibration lapsed on 1 April 2027"


def test_what_is_later_is_counted_and_not_hidden(ours, validator, monkeypatch):
    from stillroom.web.due import view

    far = verb.Due("visit", ours.cabinet.key, "C", "", "", "", datetime.date(2028, 11, 7), 366, "Visit", "w")
    monkeypatch.setattr(view, "due", lambda *_, **__: [far])
    assert "Nothing is due in that time" in shown(validator, within="365")
    assert "One more thing is due later" in shown(validator, within="365")
    assert "Coming (1)" in shown(validator, within="all")
    assert '<strong aria-current="page">90 days</strong>' in shown(validator, within="nonsense")


def test_the_files_hold_what_the_page_shows(ours, validator):
    table = validator.get(reverse("due-file", args=["csv"]))
    assert table["Content-Type"] == "text/csv; charset=utf-8" and "attachment" in table["Content-Disposition"]
    lines = table.content.decode("utf-8-sig").splitlines()
    book = validator.get(reverse("due-file", args=["xlsx"])).content
    rows = (
        python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(book)).get_sheet_by_name("Due").to_python()
    )
    assert len(rows) == len(lines) > 3
    assert rows[1][9].startswith("http://testserver/")
    assert validator.get(reverse("due-file", args=["exe"])).status_code == 404


def test_an_address_is_shown_once_kept_by_its_hash_and_opens_the_calendar(ours, client):
    """A reader may have one too: it is their own affair."""
    client.force_login(ours.people["reader"], backend=BACKEND)
    text = client.post(reverse("due-address")).content.decode()
    address = text.split('<p class="code">')[1].split("</p>")[0]
    token = address.rsplit("/", 1)[1].removesuffix(".ics")
    assert len(token) == 32, "192 bits"
    assert token not in shown(client), "it is not shown again"
    stored = [str(row) for row in CalendarAddress.objects.values()] + list(
        Event.objects.values_list("body", flat=True)
    )
    assert not any(token in words for words in stored)

    client.logout()
    response = client.get(address)
    assert response.status_code == 200 and response["Content-Type"] == "text/calendar; charset=utf-8"
    assert response["Cache-Control"] == "no-store"
    events = icalendar.Calendar.from_ical(response.content).walk("VEVENT")
    assert any("Cabinet 3" in str(event["SUMMARY"]) for event in events)
    assert all(str(event["URL"]).startswith("http://testserver/") for event in events)


def test_a_new_address_ends_the_old_and_taking_it_back_ends_it(ours, validator):
    old = reverse("due-feed", args=[ours.token])
    assert validator.get(old).status_code == 200
    text = validator.post(reverse("due-address")).content.decode()
    new = text.split('<p class="code">')[1].split("</p>")[0]
    assert validator.get(old).status_code == 404 and validator.get(new).status_code == 200
    validator.post(reverse("due-address"), {"take_back": "1"})
    assert validator.get(new).status_code == 404
    assert "Give me a calendar address" in shown(validator)


@pytest.mark.parametrize("how", ["deactivated", "no longer a member"])
def test_who_left_reads_no_calendar(how, ours, client):
    place, user = reverse("due-feed", args=[ours.token]), ours.people["validator"]
    assert client.get(place).status_code == 200
    with writing(None, "test", reason="someone leaves"):
        if how == "deactivated":
            user.is_active = False
            user.save()
        else:
            user.memberships.get().delete()
    assert client.get(place).status_code == 404


def test_an_address_nobody_has_is_absent(ours, client):
    for token in ("x", "a" * 32, ours.token + "a", ours.token.swapcase()):
        assert client.get(reverse("due-feed", args=[token])).status_code == 404


def test_a_feed_holds_nothing_of_another_organisation(ours, password_hash, client):
    theirs = make_side("theirs", password_hash)
    with writing(theirs.organisation, theirs.people["owner"], reason="another name"):
        theirs.cabinet.name = "Secret cabinet"
        theirs.cabinet.save()
    assert "Secret" not in client.get(reverse("due-feed", args=[ours.token])).content.decode()
    assert "Secret" in client.get(reverse("due-feed", args=[theirs.token])).content.decode()


def test_spares_risks_and_one_site(ours, validator, theirs):
    """The invented cabinet's one bed of 8 kg, put in in 2026; a second cabinet that nothing approves, at another site."""
    from stillroom.services.cabinets import keep_cabinet

    keep_cabinet(ours.organisation, ours.people["owner"], name="Bare <b>", site="Annex & co")
    keep_cabinet(theirs.organisation, theirs.people["owner"], name="Secret cabinet", site="Hidden")
    text = shown(validator)
    assert "Spares to order" in text and "2 cabinets at risk" in text and "Bare &lt;b&gt;" in text
    assert "Nothing approves it." in text and "Hidden" not in text and "Secret" not in text
    assert "?within=90&amp;site=Annex+%26+co" in text
    annex = shown(validator, site="Annex & co")
    assert "Cabinet 3" not in annex and "Bare &lt;b&gt;" in annex and "Detector 7" not in annex
    table = validator.get(reverse("due-file", args=["csv"]), {"site": "Annex & co", "within": "all"})
    assert b"Cabinet 3" not in table.content and b"Bare" in table.content
    assert "Secret" not in shown(validator, site="Hidden")
