"""What people typed is shown and never run: on every page, and in every paper (OWASP ASVS 5.0.0, 1.2.1 and 1.3.7)."""

from __future__ import annotations

import re
from datetime import date

import pytest

from documents.reading import squeezed, text
from documents.sample_record import refused_record, sample_record, signed_record
from documents.test_spent import BEDS, HEAD
from documents.test_text import _poisoned
from stillroom.documents import label_pdf, record_pdf, shelves_pdf
from stillroom.documents.spent import spent_pdf
from web.test_matrix import MATRIX, address

MARKUP = "<script>alert(1);\"'{{1234*1111}}{%debug%}<img src=x onerror=alert(1)>"
RUN = re.compile(r"<script|<img src=x|1371774", re.IGNORECASE)
"""1234 × 1111 = 1371774"""
SHOWN = "&lt;script&gt;alert(1);"


@pytest.fixture
def hostile(db, monkeypatch, password_hash, client):
    """An organisation whose every word is markup: its own name, people, cases, cabinet, instrument, visit, filter change."""
    from stillroom.records.models import FilterChange, Visit
    from stillroom.records.store import update_draft
    from stillroom.records.trail import writing
    from stillroom.web.shared import core
    from web import conftest, stubs

    monkeypatch.setattr(stubs, "sample_record", lambda: _poisoned(sample_record(), MARKUP))
    monkeypatch.setattr(stubs, "refused_record", lambda: _poisoned(refused_record(), MARKUP))
    monkeypatch.setattr(core, "assess", stubs.fake_assess)
    monkeypatch.setattr(core, "papers", stubs.fake_papers)
    side = conftest.make_side(MARKUP, password_hash)
    user = side.people["validator"]
    rows = (
        b"name,cas,amount,unit,note\n"
        + f'Toluene,108-88-3,1,L,"{MARKUP.replace(chr(34), chr(34) * 2)}"\n'.encode()
    )
    inputs = conftest.inputs()
    inputs["room"]["room"]["name"] = inputs["cabinet"]["cabinet"]["name"] = MARKUP
    own = {"organisation": side.organisation, "created_by": user, "cabinet": side.cabinet}
    with writing(side.organisation, user, reason="words that are markup"):
        from stillroom.records.store import keep_file

        file = keep_file(side.organisation, user, name=f"{MARKUP}.csv", content=rows)
        update_draft(side.draft, user, title=MARKUP, inventory=file, **inputs)
        for name in ("name", "serial", "site", "place", "room"):
            setattr(side.cabinet, name, MARKUP)
        side.instrument.name = MARKUP
        side.cabinet.save()
        side.instrument.save()
        side.visit = Visit.objects.create(
            validation=side.validation, on=date(2026, 11, 21), person=MARKUP, note=MARKUP, **own
        )
        side.filter_change = FilterChange.objects.create(
            on=date(2026, 11, 22), by=MARKUP, reason=MARKUP, **own,
            stack=[{"medium": "coconut", "mass_kg": 8.0, "serial": MARKUP, "weighed_g": 9000.0}],
            leak_check={"result": "passed", "method": MARKUP, "limit": MARKUP},
        )  # fmt: skip
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return side


def test_no_page_runs_what_was_typed(hostile, client):
    shown = set()
    for name in MATRIX:
        response = client.get(address(name, hostile))
        for words in response.headers.values():
            assert "\r" not in words and "\n" not in words, name
        if name == "logout" or "html" not in response.get("Content-Type", ""):
            continue
        page = response.content.decode()
        assert not RUN.search(page), name
        if SHOWN in page:
            shown.add(name)
    assert {"assessments", "check", "room", "filters", "table", "result", "validation", "label", "cabinets", "kept",
            "instruments", "visit-answer", "trail"} <= shown  # fmt: skip


@pytest.mark.parametrize("name", ["paper", "signed-paper", "spent", "due-file", "due-feed"])
def test_a_download_has_a_plain_name(name, hostile, client):
    response = client.get(address(name, hostile))
    assert response.status_code == 200
    assert re.fullmatch(
        r'(attachment|inline); filename="[A-Za-z0-9][A-Za-z0-9.-]{0,80}"', response["Content-Disposition"]
    )
    assert response["X-Content-Type-Options"] == "nosniff"
    assert "html" not in response["Content-Type"]


TYPST = [
    '#read("/etc/passwd") #import "@preview/cetz:0.3.0": *',
    "$x^2$ *bold* _it_ @label <there> `raw` #eval(1)",
    "= head #sys.inputs // not a comment \\u{41}",
    "<script>{{7*7}} #include \"a.typ\" ${7*7}",
]  # fmt: skip


@pytest.mark.parametrize("words", TYPST)
@pytest.mark.parametrize("make", [signed_record, refused_record])
def test_the_papers_show_markup_as_it_was_typed(words, make):
    record = _poisoned(make(), words)
    for paper in (
        record_pdf(record),
        label_pdf(record, size="A5"),
        label_pdf(record, size="A6"),
        shelves_pdf(record),
    ):
        written = squeezed(text(paper))
        assert squeezed(words)[:38] in written
        assert "root:" not in written


@pytest.mark.parametrize("words", TYPST)
def test_the_spent_filter_sheet_shows_markup_as_it_was_typed(words):
    head = HEAD | {"by": words, "cabinet": dict.fromkeys(HEAD["cabinet"], words)}
    sheet = head | {
        "beds": [BEDS[0] | {"serial": words}], "substances": [], "total_g": None, "sources": [words], "questions": [words],
        "weighing": {"before_g": None, "after_g": None, "gain_g": None, "words": words},
    }  # fmt: skip
    assert squeezed(text(spent_pdf(sheet))).count(squeezed(words)) >= 4
