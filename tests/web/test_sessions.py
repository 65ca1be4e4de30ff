"""How long one stays signed in, and that it ends at the server (OWASP ASVS 5.0: 7.2.4, 7.3.1, 7.3.2, 7.4.1, 7.4.3)."""

from __future__ import annotations

import pytest
from django.contrib.sessions.models import Session
from django.test import Client

from stillroom.web.shared import sessions
from web.conftest import PASSWORD
from web.test_security import run

MINUTE, HOUR = 60, 3600


@pytest.fixture
def clock(monkeypatch):
    """Seconds that only the test moves."""
    time = {"now": 1_800_000_000}
    monkeypatch.setattr(sessions, "now", lambda: time["now"])

    def wait(seconds):
        time["now"] += seconds

    return wait


def sign_in(client, name="ours-validator", **more):
    return client.post("/login/", {"username": name, "password": PASSWORD} | more)


def is_in(client):
    return client.get("/account/").status_code == 200


def test_unused_for_half_an_hour_it_is_over(ours, client, clock):
    sign_in(client)
    clock(30 * MINUTE - 1)
    assert is_in(client)
    clock(30 * MINUTE)
    response = client.get("/substances/?q=toluene")
    assert response["Location"] == "/login/?ended=idle&next=%2Fsubstances%2F%3Fq%3Dtoluene"
    assert Session.objects.count() == 0, "ended at the server"
    text = client.get(response["Location"]).content.decode()
    assert "nothing was done for 30 minutes" in text
    again = sign_in(client, next="/substances/?q=toluene")
    assert again["Location"] == "/substances/?q=toluene", "and one comes back to where one was"


def test_used_it_lasts_a_working_day_and_no_longer(ours, client, clock):
    sign_in(client)
    for _ in range(35):
        clock(20 * MINUTE)
        assert is_in(client)
    clock(20 * MINUTE)  # 12 hours
    response = client.get("/account/")
    assert response["Location"].startswith("/login/?ended=long")
    assert "12 hours at most" in client.get(response["Location"]).content.decode()


def test_an_old_cookie_does_not_come_back_to_life(ours, client, clock):
    sign_in(client)
    cookie = client.cookies["sessionid"].value
    clock(31 * MINUTE)
    client.get("/account/")
    thief = Client()
    thief.cookies["sessionid"] = cookie
    clock(-31 * MINUTE)
    assert not is_in(thief)


def test_the_limits_are_settings(ours, client, clock, settings):
    settings.IDLE_SECONDS, settings.SESSION_COOKIE_AGE = 5 * MINUTE, HOUR
    sign_in(client)
    clock(4 * MINUTE)
    assert is_in(client)
    clock(5 * MINUTE)
    assert not is_in(client)


def test_a_form_sent_too_late_changes_nothing_and_leads_back_to_its_page(ours, client, clock):
    sign_in(client)
    clock(HOUR)
    page = f"/assessments/{ours.draft.key}/check/"
    sent = client.post(page, {"title": "Late"}, headers={"referer": f"http://testserver{page}"})
    assert "ended=idle" in sent["Location"] and "check" in sent["Location"]
    ours.draft.refresh_from_db()
    assert ours.draft.title == "Draft" and ours.draft.is_draft
    sign_in(client)
    clock(HOUR)
    sent = client.post(page, {"title": "Late"}, headers={"referer": "https://evil.example/"})
    assert sent["Location"] == "/login/?ended=idle&next="


def test_sign_in_makes_a_new_key(ours, client):
    """Session fixation: a key planted before the sign-in is worth nothing after it."""
    from django.contrib.sessions.backends.db import SessionStore

    planted = SessionStore()
    planted["anything"] = 1
    planted.create()
    client.cookies["sessionid"] = planted.session_key
    sign_in(client)
    assert client.cookies["sessionid"].value != planted.session_key
    assert not Session.objects.filter(pk=planted.session_key).exists()
    eve = Client()
    eve.cookies["sessionid"] = planted.session_key
    assert not is_in(eve) and is_in(client)


def test_a_second_sign_in_as_someone_else_takes_nothing_along(ours, theirs, client):
    sign_in(client)
    first = client.cookies["sessionid"].value
    client.post("/logout/")
    sign_in(client, "theirs-owner")
    assert client.cookies["sessionid"].value != first
    assert Session.objects.count() == 1


def test_sign_out_ends_it_at_the_server_and_only_there(ours, client):
    other = Client()
    sign_in(client), sign_in(other)
    cookie = client.cookies["sessionid"].value
    client.post("/logout/")
    assert not Session.objects.filter(pk=cookie).exists()
    thief = Client()
    thief.cookies["sessionid"] = cookie
    assert not is_in(thief)
    assert is_in(other), "the other browser stays"


def test_a_new_password_ends_the_other_sessions(ours, client):
    other = Client()
    sign_in(client), sign_in(other)
    client.post("/account/", {"old": PASSWORD, "new": "another invented phrase 5"})
    assert is_in(client) and not is_in(other)


def test_a_session_that_tells_no_time_is_over(ours, client):
    sign_in(client)
    session = client.session
    del session["seen"]
    session.save()
    assert not is_in(client)


def test_the_admin_site_keeps_to_the_same_limits(ours, client, clock):
    sign_in(client, "ours-owner")
    clock(HOUR)
    assert client.get("/admin/")["Location"].startswith("/login/?ended=idle")


def test_being_looked_at_writes_at_most_once_a_minute(ours, client, clock):
    sign_in(client)
    seen = client.session["seen"]
    clock(59)
    client.get("/account/")
    assert client.session["seen"] == seen
    clock(1)
    client.get("/account/")
    assert client.session["seen"] == seen + 60


@pytest.mark.parametrize(("minutes", "hours"), [("0", "12"), ("-1", "12"), ("nan", "12"), ("30", "long")])
def test_a_limit_that_is_none_stops_the_start(minutes, hours):
    done = run(
        "from stillroom.web import settings", STILLROOM_IDLE_MINUTES=minutes, STILLROOM_SESSION_HOURS=hours
    )
    assert done.returncode != 0
    assert "Write a number above 0" in done.stderr
