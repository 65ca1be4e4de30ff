"""The spent-filter sheet, read back by another program."""

from __future__ import annotations

import pytest

from documents.reading import pages, squeezed, text
from stillroom.documents.spent import spent_pdf
from stillroom.services.spent_filter import spent_sheet

HEAD = {
    "schema": "stillroom-spent/1", "number": "abc234", "date": "2026-10-20", "since": "2026-06-20", "since_words": "put in on 2026-06-20",
    "days": 122, "by": "Ada Invented", "cabinet": {"name": "Studio", "serial": "S-9", "site": "", "room": "", "place": ""},
    "invented": True, "draws": 400, "validations": [{"number": 7, "days": 122.0, "by": "Ada Invented"}],
}  # fmt: skip
BEDS = [{"serial": "F-1", "medium": "impregnated-mercury", "mass_kg": 8.0, "weighed_g": 9000.0}]


@pytest.fixture(scope="module")
def held():
    import numpy as np

    from stillroom.services.spent_filter import Held

    grams = np.linspace(90.0, 110.0, 101)  # 5, 50 and 95 %: 91, 100, 109
    return Held(
        total={"67-64-1": grams, "9999-99-9": 0.0 * grams},
        room={"67-64-1": 0.25 * grams, "9999-99-9": 0.0 * grams},
        unknown={"9999-99-9": "its molar mass is not known"},
        dust=("7440-66-6",),
    )


def test_grams_hazards_serials_and_questions_stand_on_it(held):
    sheet = HEAD | {"beds": BEDS} | spent_sheet([held], BEDS, 9095.0, names={"67-64-1": "acetone"})
    said = text(spent_pdf(sheet))
    for words in (
        "acetone",
        "67-64-1",
        "100",
        "91 – 109",
        "25 %",
        "flammable liquid, category 2",
        "ketone",
        "F-1",
        "S-9",
        "95 g",
    ):
        assert squeezed(words) in squeezed(said), words
    assert squeezed("It gained what was computed.") in squeezed(said)
    for words in ("Fire", "Impregnated carbon", "Dust", "Local rules prevail", "Invented example"):
        assert words in said, words
    assert "Mercury" not in said  # none is on it: not asked
    assert squeezed("not known: its molar mass is not known") in squeezed(said)


def test_a_filter_unlike_the_validated_one_is_told_on_top(held):
    sheet = HEAD | {"beds": BEDS, "unlike": "V7: bed 1 holds 5 kg, 8 kg were validated"}
    said = text(spent_pdf(sheet | spent_sheet([held], BEDS, None, names={})))
    assert squeezed("Not as validated V7: bed 1 holds 5 kg, 8 kg were validated.") in squeezed(said)


def test_two_validations_in_a_filters_time_are_added(held):
    once, twice = (spent_sheet([held] * n, BEDS, None, names={})["total_g"]["p50"] for n in (1, 2))
    assert twice == pytest.approx(2 * once)


@pytest.mark.parametrize(
    ("after", "words"),
    [
        (9050.0, "less than the vapours"),
        (9100.0, "what was computed"),
        (9600.0, "takes water"),
        (None, "No gain"),
    ],
)
def test_the_balance_is_set_against_the_computation(held, after, words):
    assert words in spent_sheet([held], BEDS, after, names={})["weighing"]["words"]


def test_where_nothing_is_known_it_says_so_and_still_asks():
    sheet = (
        HEAD
        | {"beds": [], "since": "", "days": None, "validations": []}
        | spent_sheet([], [], None, names={})
    )
    said = text(spent_pdf(sheet))
    assert "Nothing could be computed" in said
    assert "Fire" in said


def test_equal_sheets_are_equal_bytes_and_one_page(held):
    sheet = HEAD | {"beds": BEDS} | spent_sheet([held], BEDS, 9095.0, names={})
    assert spent_pdf(sheet) == spent_pdf(sheet)
    assert len(pages(spent_pdf(sheet))) == 1
