"""The page of one's own events: nobody else's, paged, and what was altered is marked."""

from __future__ import annotations

import pytest
from django.db import connection
from django.urls import reverse

from stillroom.records import guards, trail
from stillroom.records.chain import hash_of
from stillroom.records.models import Event
from stillroom.records.store import new_draft

pytestmark = pytest.mark.django_db


def shown(client, **query):
    return client.get(reverse("trail"), query).content.decode()


def test_newest_first_a_page_at_a_time_and_nobody_elses(ours, theirs, validator):
    for number in range(60):
        new_draft(ours.organisation, ours.people["validator"], title=f"T{number}", inputs={})
    rows = list(trail.events(ours.organisation))
    first, second = shown(validator), shown(validator, page=2)
    assert first.index(rows[0].subject) < first.index(rows[1].subject)
    for page, subjects in ((first, rows[:50]), (second, rows[50:100])):
        assert all(f">{row.seq}<" in page for row in subjects)
    assert rows[50].subject not in first
    for row in trail.events(theirs.organisation):
        assert row.subject not in first + second


def test_the_whole_log_is_looked_at_when_asked(ours, validator):
    text = shown(validator, whole=1)
    assert "The log is whole." in text
    assert f"{Event.objects.filter(log=ours.organisation.key).count()} events" in text
    assert "The log is whole" not in shown(validator)


@pytest.mark.tampers
@pytest.mark.parametrize(
    ("way", "words"),
    [("altered", "was altered"), ("hashed anew", "does not follow"), ("left out", "does not follow")],
)
def test_what_was_altered_is_marked(ours, validator, way, words):
    guards.remove(connection)
    row = Event.objects.get(log=ours.organisation.key, seq=3)
    other = row.entry._replace(reason="another")
    hashed = hash_of(other) if way == "hashed anew" else row.hash
    with connection.cursor() as cursor:
        if way == "left out":
            cursor.execute("DELETE FROM records_event WHERE id = %s", [row.pk])
        else:
            new = [other.reason, hashed, row.pk]
            cursor.execute("UPDATE records_event SET reason = %s, hash = %s WHERE id = %s", new)
    text = shown(validator)
    assert "One event on this page is not as it was written" in text
    assert text.count(words) == 1
    assert "The log is not whole" in shown(validator, whole=1)


@pytest.mark.tampers
def test_a_signed_record_that_was_altered_is_named(ours, theirs, validator):
    guards.remove(connection)
    with connection.cursor() as cursor:
        cursor.execute("UPDATE records_validation SET meaning = 'reviewed'")
    text = shown(validator, whole=1)
    assert "The log is not whole" in text
    assert text.count("was altered") == 1, "one's own only"
