"""The recheck page and the cabinet's banner: who is named, what it would be today, and that looking computes nothing."""

from __future__ import annotations

import pytest
from django.template import Context, Template
from django.urls import reverse

from records.conftest import two  # noqa: F401
from services.kept import keep, load
from stillroom.services import recheck as verb

TOLUENE = "Toluene,108-88-3,2.5,L,2\n"


@pytest.fixture
def lowered(two, client, tmp_path, monkeypatch):  # noqa: F811
    """A list lowered tenfold after two cabinets were signed under it, and a third under another; nothing is stubbed."""
    monkeypatch.setenv("STILLROOM_LIMITS", str(tmp_path / "lists"))
    verb._answers.clear()
    organisation, user = two[0]
    load(1, confirmed=True)
    kept = [
        keep(organisation, user, name, TOLUENE, key)
        for name, key in (("North", "works"), ("South", "works"), ("Yard", "uk-eh40"))
    ]
    load(0.1, edition="2", confirmed=True)
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return kept


def shown(client):
    return client.get(reverse("recheck")).content.decode()


def banner(cabinet):
    return Template("{% load recheck %}{% recheck_banner cabinet %}").render(Context({"cabinet": cabinet}))


def test_looking_names_the_affected_and_computes_nothing(lowered, client, monkeypatch):
    monkeypatch.setattr(verb, "_computed", lambda validation: pytest.fail("computed while looking"))
    text = shown(client)
    assert "North: validation V1" in text and "South: validation V2" in text and "Yard" not in text
    assert "3 validations were looked at" in text and "Compute all 2 again" in text
    assert "Changed since: limits works, from “1, sha256" in text
    assert "Something has changed since it was signed" in banner(lowered[0].cabinet)
    assert banner(lowered[2].cabinet).strip() == ""


def test_computed_the_new_verdict_stands_there_and_in_the_banner(lowered, client):
    one = client.post(reverse("recheck"), {"validation": lowered[0].key})
    assert one.status_code == 302
    text = shown(client)
    assert "<strong>Not approved</strong> (signed: Approved with conditions)" in text
    assert "limit: 1 ppm TWA (works) → 0.1 ppm TWA (works)" in text
    assert "Compute it again" in text, "the other is still open"
    assert "It would come out differently today" in banner(lowered[0].cabinet)
    assert "Something has changed" in banner(lowered[1].cabinet)
    client.post(reverse("recheck"))
    assert shown(client).count("<strong>Not approved</strong>") == 2


def test_a_new_validation_starts_from_it(lowered, client):
    response = client.post(reverse("change", kwargs={"key": lowered[0].assessment.key}))
    assert response["Location"].endswith("/check/")


def test_others_see_only_their_own(lowered, two, client):  # noqa: F811
    client.force_login(two[1][1], backend="django.contrib.auth.backends.ModelBackend")
    assert "North" not in shown(client)
    client.post(reverse("recheck"), {"validation": lowered[0].key})
    assert verb.known(lowered[0]) is None, "another organisation's validation is not computed"
