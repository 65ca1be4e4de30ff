"""The page behind a label's code: open to all, says no more than the label, slows down who tries tokens."""

from __future__ import annotations

import html
import re
from datetime import date

import pytest
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from documents.reading import squeezed, text
from stillroom.records import guards
from stillroom.services.papers import papers
from stillroom.services.sign import record_of
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


def test_past_its_date_the_list_is_folded_away(ours, client, monkeypatch):
    from stillroom.web.label import view

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
