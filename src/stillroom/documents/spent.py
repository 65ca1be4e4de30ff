"""The spent-filter sheet on A4: what the filter holds, what is dangerous in it, and what to ask before it goes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from stillroom.documents.figures import day, interval, plain, rounded
from stillroom.documents.press import press
from stillroom.documents.text import printable
from stillroom.documents.words import words_of

__all__ = ["spent_pdf"]

_ENGLISH = {
    "sheet": "Spent-filter sheet",
    "what": "What the filter holds",
    "substance": "Substance",
    "grams": "Grams",
    "range": "5 to 95 %",
    "room part": "of it from the room",
    "hazards": "Hazards",
    "all": "All together",
    "trace": "as dust, if at all; not computed",
    "not known": "not known",
    "none listed": "none of those sorted by here",
    "filter": "The filter",
    "serial": "Serial number",
    "medium": "Medium",
    "mass": "Medium, kg",
    "weighed": "Weighed when new, g",
    "not recorded": "not recorded",
    "weighing": "On the balance",
    "questions": "Questions for the competent person who disposes of it",
    "sources": "Where this comes from",
    "nothing": "Nothing could be computed: no validation stood while the filter was in place, or nobody knows since when it was.",
    "how": "Computed for normal storage by the validation’s own {draws} draws: what came to the carbon from the containers and from the room’s "
    "air, never more than it can hold. Several validations in its time are added, which is cautious. Spills are not counted.",
}


def spent_pdf(sheet: Mapping[str, Any], *, language: str = "en") -> bytes:
    """The sheet as PDF (A4 upright; PDF/A-2a and PDF/UA-1).

    Parameters
    ----------
    sheet : Mapping
        As `services.spent_filter` gives it.
    language : str
        Of the words.
    """
    words = dict(words_of(language)) | _ENGLISH
    view = printable(_view(sheet, words))
    view["words"] = words
    return press("spent.typ", view, date=sheet["date"])


def _view(sheet: Mapping[str, Any], words: Mapping[str, str]) -> dict[str, Any]:
    cabinet = sheet["cabinet"]
    place = [cabinet[name] for name in ("name", "serial", "site", "room", "place") if cabinet.get(name)]
    return {
        "date": [int(part) for part in sheet["date"].split("-")],
        "number": sheet["number"],
        "invented": sheet["invented"],
        "cabinet": " · ".join(place),
        "facts": [
            ["Taken out", f"{day(sheet['date'], words)} by {sheet['by']}"],
            [
                "In place",
                f"{sheet['days']:g} days: {sheet['since_words']}" if sheet["since"] else sheet["since_words"],
            ],
            [
                "Validated by",
                "; ".join(
                    f"number {row['number']}, {row['by']}, {row['days']:g} days"
                    for row in sheet["validations"]
                )
                or words["not recorded"],
            ],
            *([["Not as validated", f"{sheet['unlike']}."]] if sheet.get("unlike") else []),
        ],
        "beds": [
            [
                bed.get("serial") or words["not recorded"],
                bed["medium"],
                plain(bed["mass_kg"]),
                plain(bed["weighed_g"]) if bed.get("weighed_g") else words["not recorded"],
            ]
            for bed in sheet["beds"]
        ],
        "rows": [_row(item, words) for item in sheet["substances"]],
        "total": _grams(sheet["total_g"], words) if sheet["total_g"] else None,
        "weighing": _weighing(sheet["weighing"], words),
        "questions": [list(text.partition(": ")[::2]) for text in sheet["questions"]],
        "sources": sheet["sources"],
        "how": words["how"].format(draws=sheet["draws"]),
    }


def _row(item: Mapping[str, Any], words: Mapping[str, str]) -> list[str]:
    if item["dust"]:
        amount = [words["trace"], ""]
    elif item["grams"] is None:
        amount = [words["not known"], item["unknown"]]
    else:
        amount = _grams(item["grams"], words)
    share = item["room_share"]
    part = "" if share is None or share < 0.005 else f"{100 * share:.0f} %"
    hazards = ", ".join(item["hazards"]) or words["none listed"]
    return [item["name"], item["cas"], *amount, part, hazards]


def _grams(span: Mapping[str, float], words: Mapping[str, str]) -> list[str]:
    return interval(span, lambda value: rounded(value, 3), words)  # type: ignore[arg-type]


def _weighing(weighing: Mapping[str, Any], words: Mapping[str, str]) -> list[list[str]]:
    names = (("before_g", "when new"), ("after_g", "when taken out"), ("gain_g", "gain"))
    rows = [
        [said, f"{plain(weighing[name])} g" if weighing[name] is not None else words["not recorded"]]
        for name, said in names
    ]
    return [*rows, ["Said", weighing["words"]]]
