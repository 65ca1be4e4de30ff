"""Errors of forms: kept values, the same words above and beside, no scolding (rules of the house's forms page)."""

from __future__ import annotations

import re

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from stillroom.web.shared.fields import NumberField, tidy

PAGES = ["new", "inventory", "table", "cabinet", "filters", "room", "limits", "by-hand", "rules", "check"]
BANNED = re.compile(
    r"\b(please|sorry|valid|invalid|forbidden|illegal|oops|required|an error occurred)\b", re.I
)
NONSENSE = {
    "title": "x" * 201, "file": "", "pasted": "", "choice": "nowhere", "name": "", "flow": "fast", "mass_1": "-2",
    "medium_1": "cheese", "volume": "1,234", "changes": "many", "temperature": "900", "humidity": "101",
    "background": "some", "vapour_1": "unheard-of-ium", "mg_1": "", "mg_2": "3", "ordering": "", "osha-z1": "1",
    "niosh-rel": "1", "substance": "108-88-4", "value": "0", "unit": "stone", "basis": "", "source": "a",
    "cleanup_minutes": "", "lfl_fraction": "26", "marker_cas": "nothing known", "spill_criterion_too": "perhaps",
    "name_2": "Toluene", "amount_2": "much", "unit_2": "L",
}  # fmt: skip


def place(name, side):
    return reverse(name) if name == "new" else reverse(name, kwargs={"key": side.draft.key})


def unescape(text):
    import html

    return html.unescape(re.sub(r"<[^>]+>", "", text)).strip()


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("data", [{}, NONSENSE], ids=["empty", "nonsense"])
def test_messages(name, data, ours, validator):
    if name in ("check", "table") and not data:
        data = {"title": "", "name_2": ""}
    text = validator.post(place(name, ours), data).content.decode()
    assert "<title>Error: " in text
    assert "There is a problem" in text
    assert text.index("There is a problem") < text.index("<h1")
    above = [
        unescape(item)
        for item in re.findall(r"<li>(.*?)</li>", text[text.index("There is") : text.index("<h1")])
    ]
    assert above
    body = text[text.index("<h1") :]
    for message in above:
        assert not BANNED.search(message), message
    beside = [
        unescape(item).removeprefix("Error:").strip()
        for item in re.findall(r'<p class="message".*?</p>', body, re.S)
    ]
    for message in beside:
        assert message in above
    for target in re.findall(r'<li><a href="#([^"]+)"', text):
        assert f'id="{target}"' in text, target
    assert "required" not in re.findall(r"<input[^>]*>", body)
    assert " required" not in body.split("<form", 1)[-1].split("</form>")[0]
    assert 'type="number"' not in text


def test_what_was_typed_stays(ours, validator):
    text = validator.post(place("room", ours), NONSENSE | {"name": "Room 5"}).content.decode()
    for value in ("Room 5", "1,234", "many", "unheard-of-ium"):
        assert f'value="{value}"' in text


def test_an_ambiguous_number_is_asked_about(ours, validator):
    text = validator.post(place("room", ours), NONSENSE).content.decode()
    assert "may be" in text


@pytest.mark.parametrize(
    ("written", "read"),
    [("2.5", 2.5), (" 2,5 ", 2.5), ("2.5 m³", 2.5), ("2.5m³", 2.5), ("\u200b2.5\u00a0", 2.5), ("1 234.5", 1234.5),
     ("−2", -2.0), ("–2", -2.0)],
)  # fmt: skip
def test_numbers_as_people_write_them(written, read):
    assert NumberField(label="Volume", unit="m³", low=-10, high=5000).clean(written) == read


@pytest.mark.parametrize("written", ["", "x", "nan", "inf", "1e999", "-1", "6000", "2.5 litres"])
def test_numbers_that_cannot_be(written):
    with pytest.raises(ValidationError) as caught:
        NumberField(label="Volume", unit="m³", low=0, high=5000).clean(written)
    assert not BANNED.search(str(caught.value))


@given(st.text())
def test_tidying_twice_is_tidying_once(text):
    assert tidy(tidy(text)) == tidy(text)


@given(st.text(max_size=30))
def test_a_number_field_gives_a_finite_number_or_says_why(text):
    try:
        value = NumberField(label="Volume", low=0, high=10, optional=True).clean(text)
    except ValidationError as error:
        assert error.messages
    else:
        assert value is None or 0 <= value <= 10


@pytest.mark.parametrize(
    ("words", "read"),
    [("a spill", "A spill."), ("Done.", "Done."), ("", ""), ("1,2-x stays", "1,2-x stays."), ("n-butanol", "n-butanol."),
     ("not within the time", "Not within the time."), ("put in on 2026-11-28", "Put in on 28 November 2026."),
     ("no day: 2026-02-30, 7732-18-5", "No day: 2026-02-30, 7732-18-5.")],
)  # fmt: skip
def test_words_of_the_record_become_sentences(words, read):
    from stillroom.web.templatetags.words import sentence

    assert sentence(words) == read
