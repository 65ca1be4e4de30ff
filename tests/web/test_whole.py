"""Nothing replaced: a real inventory, assessed in the request, with its papers. Also the look-up of substances."""

from __future__ import annotations

import json

import pytest
from django.urls import reverse

from web.conftest import INVENTORY, inputs, make_side

BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture
def real(db, password_hash, client, monkeypatch):
    from stillroom.web.shared import core
    from web import stubs

    assess, papers = core.assess, core.papers
    monkeypatch.setattr(core, "assess", stubs.fake_assess)
    side = make_side("real", password_hash)
    monkeypatch.setattr(core, "assess", assess)
    monkeypatch.setattr(core, "papers", papers)
    client.force_login(side.people["validator"], backend=BACKEND)
    return side


def test_assessed_stored_and_computed_again(real, client):
    case = real.draft
    response = client.post(reverse("check", kwargs={"key": case.key}), {"title": "Toluene and acetone"})
    assert response["Location"] == reverse("result", kwargs={"key": case.key}), response.content.decode()
    text = client.get(response["Location"]).content.decode()
    case.refresh_from_db()
    assert {row["cas"] for row in case.record["substances"]} == {"108-88-3", "67-64-1"}
    assert bytes(case.inventory.content) == INVENTORY
    # UK EH40/2005, 4th edition (2020): toluene 50 ppm, acetone 500 ppm, both 8 hours
    assert "50 ppm, 8 hours" in text and "500 ppm, 8 hours" in text
    again = client.post(reverse("recompute", kwargs={"key": case.key})).content.decode()
    assert "to the last digit" in again
    assert inputs()["cabinet"] == case.cabinet.tables


def test_the_papers_are_what_they_say(real, client):
    case = real.draft
    client.post(reverse("check", kwargs={"key": case.key}), {"title": "Toluene and acetone"})
    for name in ("record.pdf", "label.pdf", "label-a6.pdf", "shelves.pdf"):
        assert client.get(reverse("paper", kwargs={"key": case.key, "name": name})).content.startswith(
            b"%PDF-"
        )
    case.refresh_from_db()
    kept = json.loads(client.get(reverse("paper", kwargs={"key": case.key, "name": "record.json"})).content)
    assert kept == case.record


@pytest.mark.parametrize("name", ["label.pdf", "label-a6.pdf"])
def test_the_code_on_a_label_leads_to_its_result(name, real, client):
    """Read back from the printed page by an independent reader (zxing), at 150 dots an inch."""
    import pypdfium2
    import zxingcpp

    case = real.draft
    client.post(reverse("check", kwargs={"key": case.key}), {"title": "Toluene and acetone"})
    response = client.get(reverse("paper", kwargs={"key": case.key, "name": name}))
    page = pypdfium2.PdfDocument(response.content)[0].render(scale=150 / 72).to_pil()
    (code,) = zxingcpp.read_barcodes(page)
    case.refresh_from_db()
    assert code.text == f"HTTP://TESTSERVER/L/{case.record['number']}"
    path = code.text.removeprefix("HTTP://TESTSERVER")
    assert client.get(path)["Location"] == reverse("result", kwargs={"key": case.key})


def test_look_up(real, client):
    text = client.get(reverse("substances"), {"q": " toluene "}).content.decode()
    assert "108-88-3" in text
    assert "50 ppm, 8 hours" in text  # UK EH40/2005, 4th edition
    assert "200 ppm, 8 hours" in text  # 29 CFR 1910.1000 Table Z-2
    assert "111 °C" in text  # boiling point, CRC Handbook: 110.6 °C
    unknown = client.get(reverse("substances"), {"q": "<b>unheard-of-ium</b>"}).content.decode()
    assert "never approved" in unknown and "<b>" not in unknown
    refused = client.get(reverse("substances"), {"q": "1333-74-0"}).content.decode()
    assert "Refused" in refused
