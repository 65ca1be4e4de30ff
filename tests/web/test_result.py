"""The result page for every kind of verdict; papers; the same computed again; a changed copy beside its origin."""

from __future__ import annotations

import copy
import re

import pytest
from django.urls import reverse

from documents.sample_record import long_record
from stillroom.records.store import conclude, copy_of, new_draft
from stillroom.web.shared import core
from stillroom.web.templatetags.words import sentence
from web.conftest import inputs
from web.stubs import RECORDS


def finished(side, record):
    case = new_draft(side.organisation, side.people["validator"], title="A case", inputs=inputs())
    conclude(case, side.people["validator"], record=record)
    return case


@pytest.mark.parametrize("verdict", RECORDS)
def test_every_verdict_is_a_page_with_its_reasons(verdict, ours, validator):
    record = RECORDS[verdict]()
    text = validator.get(reverse("result", kwargs={"key": finished(ours, record).key})).content.decode()
    for words in [
        *record["verdict_words"],
        *record["conditions"],
        *record["cautions"],
        *record["assumptions"],
    ]:
        assert sentence(words).replace("'", "&#x27;") in text
    for row in record["substances"]:
        assert row["name"] in text and row["cas"] in text
        for words in row["reasons"]:
            assert sentence(words).replace("'", "&#x27;") in text
        if row["limit"]:
            assert row["limit"]["list_title"] in text and row["limit"]["edition"] in text
    for row in record["conflicts"]:
        assert row["consequence"] in text and row["source"] in text
    assert text.count("<svg") == 3
    assert ("What to do now" in text) is (verdict in ("not approved", "cannot tell"))
    assert "There is a problem" not in text, "a refusal is an answer, not a fault"


def test_a_large_cabinet_is_shown_whole(ours, validator):
    record = long_record()
    text = validator.get(reverse("result", kwargs={"key": finished(ours, record).key})).content.decode()
    assert all(row["name"] in text for row in record["containers"])


def test_what_is_not_known_is_said_so_and_never_zero(ours, validator):
    record = copy.deepcopy(RECORDS["not approved"]())
    unknown = next(row for row in record["substances"] if row["cas"] == "1333-74-0")
    assert unknown["limit"] is None and unknown["emission_g_per_day"]["p50"] is None
    text = validator.get(reverse("result", kwargs={"key": finished(ours, record).key})).content.decode()
    part = text[text.index("Hydrogen</strong>") :]
    assert "no limit known" in part and "not known" in part
    assert not re.search(r"\bNone\b(?!\.)|\bnan\b", text), (
        "“None.” is a sentence of the record; the rest would be a leak"
    )


def test_a_conflict_with_what_cannot_stay_is_no_step_of_its_own(ours, validator):
    """What leaves takes its conflicts along: they are shown folded, and parting them is not asked for."""
    from stillroom.web.result.view import next_steps, open_conflicts

    record = copy.deepcopy(RECORDS["not approved"]())
    out = next(row["cas"] for row in record["substances"] if row["verdict"] == "not approved")
    stays = [row["cas"] for row in record["substances"] if row["verdict"].startswith("approved")][:2]
    conflict = {
        "containers": [], "hazard": "h", "consequence": "c", "source": "s", "severity": "alone", "solved": False,
        "mend": "m", "names": ["one", "other"],
    }  # fmt: skip
    record["conflicts"] = [conflict | {"cas": [out, stays[0]]}]
    assert not any("Part what" in words for words in next_steps(record))
    record["conflicts"].append(conflict | {"cas": stays})
    unsolved, leaving = open_conflicts(record)
    assert [row["cas"] for row in unsolved] == [stays] and [row["cas"] for row in leaving] == [
        [out, stays[0]]
    ]
    assert any("Part what" in words for words in next_steps(record))
    text = validator.get(reverse("result", kwargs={"key": finished(ours, record).key})).content.decode()
    assert "One conflict with what cannot stay" in text
    assert text.count('class="conflict"') == 2, "folded, never left out"


def test_papers_are_downloads_with_a_plain_name(ours, validator):
    for name in ("record.pdf", "label.pdf", "label-a6.pdf", "shelves.pdf", "record.json"):
        response = validator.get(reverse("paper", kwargs={"key": ours.copy.key, "name": name}))
        assert response.status_code == 200
        number = ours.copy.record["number"]
        assert response["Content-Disposition"] == f'attachment; filename="{number}-{name}"'
        assert response["Content-Type"].startswith("application/")
        assert "sandbox" in response["Content-Security-Policy"]
    for name in ("secret-key", "record.pdf%0d%0aX: y", "..%2f..%2fetc"):
        assert validator.get(f"/assessments/{ours.done.key}/papers/{name}").status_code == 404
    draft = reverse("paper", kwargs={"key": ours.draft.key, "name": "record.pdf"})
    assert validator.get(draft).status_code == 404


def test_a_number_from_outside_cannot_break_the_header(ours, validator):
    record = RECORDS["approved"]() | {"number": 'x"\r\nSet-Cookie: a=b; ‮' + "9" * 300}
    case = finished(ours, record)
    response = validator.get(reverse("paper", kwargs={"key": case.key, "name": "label.pdf"}))
    header = response["Content-Disposition"]
    assert "\r" not in header and header.count('"') == 2 and len(header) < 100


def test_the_same_computed_again(ours, validator, monkeypatch):
    place = reverse("recompute", kwargs={"key": ours.done.key})
    assert "to the last digit" in validator.post(place).content.decode()
    other = ours.done.record | {"verdict": "not approved"}
    monkeypatch.setattr(core, "assess", lambda case: other)
    assert "Tell whoever runs the server" in validator.post(place).content.decode()
    monkeypatch.setattr(core, "assess", lambda case: other | {"versions": {"model": "2"}})
    assert "with today&#x27;s versions" in validator.post(place).content.decode()
    ours.done.refresh_from_db()
    assert ours.done.verdict == "approved with conditions", "the record stays as it was made"


def test_a_changed_copy_and_the_difference(ours, validator):
    response = validator.post(reverse("change", kwargs={"key": ours.done.key}))
    key = response["Location"].split("/")[2]
    place = {"key": key}
    check = validator.get(reverse("check", kwargs=place)).content.decode()
    assert f"A copy of assessment {ours.done.number}" in check
    room = {"name": "1.14", "volume": "62", "changes": "1", "temperature": "22", "humidity": "50",
            "background": "unknown", "back": "check"}  # fmt: skip
    assert validator.post(reverse("room", kwargs=place), room)["Location"] == reverse("check", kwargs=place)
    validator.post(reverse("check", kwargs=place), {"title": "One change an hour"})
    text = validator.get(reverse("difference", kwargs=place)).content.decode()
    asked = text[text.index("What was asked differently") : text.index("What came out")]
    assert "Air changes an hour" in asked and asked.count("<tr class=") == 3, (
        "air changes and the two new containers"
    )
    assert "Approved with conditions" in text and "Not approved" in text
    assert "Hydrogen" in text
    ours.done.refresh_from_db()
    assert ours.done.verdict == "approved with conditions"
    result = validator.get(reverse("result", kwargs={"key": ours.done.key})).content.decode()
    assert "One change an hour" in result


def test_no_difference_without_two_results(ours, validator):
    half = copy_of(ours.done, ours.people["validator"])
    for case in (ours.done, half, ours.draft):
        assert validator.get(reverse("difference", kwargs={"key": case.key})).status_code == 404


def test_a_reader_may_look_and_is_offered_no_change(ours, client):
    client.force_login(ours.people["reader"], backend="django.contrib.auth.backends.ModelBackend")
    text = client.get(reverse("result", kwargs={"key": ours.done.key})).content.decode()
    assert "Change an input" not in text and "Compute again" not in text
    assert "New assessment" not in client.get("/assessments/").content.decode()


def test_what_cannot_be_computed_says_why_and_keeps_the_draft(ours, validator, monkeypatch):
    from stillroom.errors import CannotTell

    def fail(case):
        raise CannotTell("the inventory holds nothing that can be assessed")

    monkeypatch.setattr(core, "assess", fail)
    text = validator.post(reverse("check", kwargs={"key": ours.draft.key}), {"title": "t"}).content.decode()
    assert "No result could be computed. the inventory holds" in text
    ours.draft.refresh_from_db()
    assert ours.draft.is_draft
