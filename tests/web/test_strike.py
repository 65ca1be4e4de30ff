"""The page that strikes a mistyped reading out."""

from __future__ import annotations

import pytest
from django.urls import reverse

from stillroom.records.models import Strike

pytestmark = pytest.mark.django_db


def answer_page(client, ours):
    return client.get(reverse("visit-answer", args=[ours.visit.key])).content.decode()


def test_it_stays_to_be_seen_with_who_when_and_why(ours, validator):
    there = reverse("strike", args=[ours.visit.key, 1])
    assert there in answer_page(validator, ours)
    assert "never struck out: it is the warning" in validator.get(there).content.decode()
    assert "0,10" in validator.get(there).content.decode()
    empty = validator.post(there, {"reason": ""})
    assert empty.status_code == 200
    assert not Strike.objects.exists()
    done = validator.post(there, {"reason": "0.010 <b>on the sheet</b>"})
    assert (done.status_code, done["Location"]) == (302, reverse("visit-answer", args=[ours.visit.key]))
    text = answer_page(validator, ours)
    assert "<s>0,10 ppm" in text
    assert "0.010 &lt;b&gt;on the sheet&lt;/b&gt;" in text
    assert "A reading was struck out" in text
    assert there not in text
    again = validator.post(there, {"reason": "again"})
    assert (again.status_code, Strike.objects.count()) == (302, 1)


def test_a_place_that_is_not_there(ours, validator):
    for place in (0, 2):
        assert validator.get(reverse("strike", args=[ours.visit.key, place])).status_code == 404


def test_a_reader_sees_no_way_to_it(ours, client):
    client.force_login(ours.people["reader"])
    assert "/strike/" not in answer_page(client, ours)
