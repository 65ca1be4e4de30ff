"""The page behind a label's code: open to all, says no more than the label, slows down who tries tokens."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from documents.reading import squeezed, text
from stillroom.records import guards
from stillroom.records.models import FilterChange
from stillroom.records.trail import writing
from stillroom.services.forecast import forecast
from stillroom.services.papers import papers
from stillroom.services.sign import record_of
from stillroom.web.label import view
from stillroom.web.label.view import MOST_A_MINUTE

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def nobody_asked_yet():
    cache.clear()


def place(side):
    return reverse("label", args=[side.validation.label_token])


def said(response):
    """What stands in `main`, piece by piece."""
    (main,) = re.findall(r"<main.*?</main>", response.content.decode(), re.S)
    pieces = re.sub(r"<[^>]*>", "\n", main).split("\n")
    return [html.unescape(piece).strip() for piece in pieces if piece.strip()]


def test_every_figure_on_the_page_stands_on_the_label(ours, client):
    """Substances, amounts, conditions, days: the page adds words of its own, and no fact."""
    label = plain(text(papers(record_of(ours.validation))["label.pdf"]))
    own = re.compile(r"Today, |Valid until |Invented |Ask before|Not a fire|.*validation V1 of ")
    facts = [piece for piece in said(client.get(place(ours))) if re.search(r"\d|\.$", piece)]
    facts = [piece for piece in facts if not own.match(piece)]
    assert [piece for piece in facts if plain(piece) not in label] == []
    assert len(facts) > 4


def plain(words):
    """Without spaces, capitals, full stops; months as the label shortens them."""
    short = re.sub(r"(\d+\s[A-Z][a-z]{2})[a-z]*(?=\s\d{4})", r"\1", words)
    return squeezed(short).casefold().rstrip(".")


def test_todays_state_comes_first(ours, client):
    pieces = said(client.get(place(ours)))
    assert pieces[1].startswith("Today, ")
    assert pieces[2] == "This label holds"


def filter_put_in(side, on, leak="passed"):
    user = side.people["validator"]
    with writing(side.organisation, user, reason="due"):
        FilterChange.objects.create(
            organisation=side.organisation, created_by=user, cabinet=side.cabinet, on=on, by="Ada", reason="due",
            stack=side.filter_change.stack, leak_check={"result": leak, "method": "photometer", "limit": ""},
        )  # fmt: skip


def test_a_filter_that_leaks_is_not_hidden_behind_a_label_that_holds(ours, client, monkeypatch):
    """The form says of such a cabinet that it stays out of use; so does the door."""
    monkeypatch.setattr(view.timezone, "localdate", lambda: date(2026, 11, 26))
    assert said(client.get(place(ours)))[2] == "This label holds"
    filter_put_in(ours, date(2026, 11, 25), leak="failed")
    response = client.get(place(ours))
    assert said(response)[2] == "Ask before you use this cabinet"
    assert "This label holds" not in response.content.decode()
    assert "or it leaks" in response.content.decode() and 'class="verdict no"' in response.content.decode()


def test_a_filter_that_is_overdue_or_due_sooner_than_printed_is_told(ours, client, monkeypatch):
    today = date(2026, 11, 26)
    monkeypatch.setattr(view.timezone, "localdate", lambda: today)
    told = forecast(ours.cabinet, today)
    assert told.by > today
    printed = date.fromisoformat(record_of(ours.validation)["life_ends"])
    for by, first, words in (
        (printed, "This label holds", ""),
        (printed - timedelta(days=1), "This label holds", "sooner than the label says"),
        (today, "This label holds", "sooner than the label says"),
        (today - timedelta(days=1), "Ask before you use this cabinet", "was to be replaced by 25 November 2026"),
    ):  # fmt: skip
        monkeypatch.setattr(view, "forecast", lambda cabinet, day, by=by: replace(told, by=by))
        response = client.get(place(ours))
        assert said(response)[2] == first, by
        assert words in response.content.decode()
        assert ("sooner" in response.content.decode()) == ("sooner" in words)
    monkeypatch.setattr(view, "forecast", lambda cabinet, day: replace(told, readings="inconsistent"))
    assert "The last readings do not fit" in client.get(place(ours)).content.decode()


def test_past_its_date_the_list_is_folded_away(ours, client, monkeypatch):
    monkeypatch.setattr(view.timezone, "localdate", lambda: date(2027, 11, 5))
    response = client.get(place(ours))
    assert "no longer holds" in said(response)[2]
    before, after = response.content.decode().split("<details>")
    assert "What may be inside" not in before
    assert "What may be inside" in after


def test_reads_alone_and_no_trace_is_left(ours, client):
    for method in ("post", "put", "delete"):
        assert getattr(client, method)(place(ours)).status_code == 405
    response = client.get(place(ours))
    assert response.cookies == {}
    assert response["Referrer-Policy"] == "no-referrer"


@pytest.mark.parametrize("token", ["A" * 22, "a", "-" * 22, "é" * 22, "A" * 500])
def test_a_wrong_token_costs_one_question_to_the_database_and_tells_nothing(ours, client, token):
    """Whatever is wrong with it, the same way is gone; OWASP ASVS 5.0, 11.5.1: 128 random bits are not guessed."""
    with CaptureQueriesContext(connection) as asked:
        response = client.get(f"/v/{token}/")
    assert response.status_code == 404
    assert len(asked) == 1
    assert "No such label" in response.content.decode()
    assert response["Cache-Control"] == "no-store"


def test_case_counts_in_a_token(ours, client):
    assert client.get(place(ours).swapcase().replace("/V/", "/v/")).status_code == 404


def test_who_asks_without_end_waits_and_nobody_else_does(ours, client):
    for _ in range(MOST_A_MINUTE):
        client.get("/v/x/", REMOTE_ADDR="192.0.2.1")
    slowed = client.get(place(ours), REMOTE_ADDR="192.0.2.1")
    # the minute may turn over while the test runs; then this address starts anew, and is slowed by as many again
    for _ in range(MOST_A_MINUTE):
        slowed = slowed if slowed.status_code == 429 else client.get(place(ours), REMOTE_ADDR="192.0.2.1")
    assert (slowed.status_code, slowed["Retry-After"]) == (429, "60")
    assert client.get(place(ours), REMOTE_ADDR="192.0.2.2").status_code == 200


@pytest.mark.tampers
def test_what_is_not_what_was_signed_is_not_shown(ours, client):
    guards.remove(connection)
    with connection.cursor() as cursor:
        cursor.execute("UPDATE records_validation SET record_text = REPLACE(record_text, 'oluene', 'ylene')")
    text = client.get(place(ours)).content.decode()
    assert "cannot be confirmed" in text
    assert "ylene" not in text
