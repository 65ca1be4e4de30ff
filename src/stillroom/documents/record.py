"""The validation record on A4 across: the decision first, then everything that it stands on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from stillroom.assessment.record import Record
from stillroom.documents import notes, tables
from stillroom.documents.anchor import anchor, moment, reviewed_by
from stillroom.documents.charts import exhaust_svg
from stillroom.documents.charts.svg import described
from stillroom.documents.figures import day, days, interval
from stillroom.documents.press import press
from stillroom.documents.text import REPLACEMENT, clean, printable, together
from stillroom.documents.words import Words, words_of

__all__ = ["record_pdf"]

PLOT = (540.0, 360.0)
"""width and height of the plot in its own units: narrow enough that its smallest letters are above 7 pt in half a page"""


def record_pdf(record: Record, *, language: str = "en") -> bytes:
    """The validation record as PDF (A4 across; PDF/A-2a and PDF/UA-1).

    Parameters
    ----------
    record : Record
        a parsed ``record.json``; nothing else is read
    language : str
        of the words

    Returns
    -------
    bytes
        equal for equal records: the file's date is the record's
    """
    words = words_of(language)
    view = printable(_view(record, words))
    view["input_sha256"] = clean(record["input_sha256"])
    view["boxes"] = REPLACEMENT in repr(view)
    view["words"] = dict(words)
    view["exhaust_svg"] = exhaust_svg(record, language=language, width=PLOT[0], height=PLOT[1])
    view["exhaust_alt"] = described(view["exhaust_svg"])
    return press("record.typ", view, date=record["date"])


def _view(record: Record, words: Words) -> dict[str, Any]:
    """What the template prints, already in words; the template only lays out."""
    conflicts, conflict_sources = notes.conflicts(record, words)
    refused = record["verdict"] in notes.REFUSED
    life = None if refused else record["label_life_days"]
    visit, valid = ("", "") if refused else (record["visit"]["next_visit"], record["valid_until"])
    return {
        "date": [int(part) for part in record["date"].split("-")],
        "number": record["number"],
        "title": record["title"],
        "invented": record["invented"],
        "verdict": record["verdict"],
        "verdict_title": words[record["verdict"]],
        "refused": refused,
        "verdict_words": record["verdict_words"],
        "facts": [
            [
                words["filter life"],
                f"{days(life)} {words['day unit']}" if life is not None else words["not given"],
                f"{words['ends']} {day(record['life_ends'], words)}"
                if record["life_ends"] and life is not None
                else "",
            ],
            [
                words["next visit"],
                day(visit, words) or words["not given"],
                record["visit"]["rule"] if visit else "",
            ],
            [
                words["valid until"],
                day(valid, words) or words["not given"],
                _assessed(record, words),
            ],
        ],
        "governing_words": record["governing_words"],
        "decides": notes.decides(record, words),
        "conditions": together(record["conditions"], [item["name"] for item in record["substances"]]),
        "cabinet": _described(record["cabinet"]),
        "room": _described(record["room"]),
        "rows": tables.rows(record, words),
        "total": tables.total(record, words),
        "table_note": words["table note"].format(
            file=record["reading"].get("file", "—"), draws=record["draws"]
        ),
        "limits": tables.limits(record, words),
        "remarks": notes.remarks(record, words),
        "largest": notes.largest(record, words),
        "visits": notes.visits(record, words),
        "clocks": [
            [
                words[f"clock {clock['name']}"],
                *_clock_days(clock["days"], words),
                clock["governing_name"],
                clock["words"],
            ]
            for clock in record["clocks"]
        ],
        "conflicts": conflicts,
        "conflict_sources": conflict_sources,
        "assumptions": record["assumptions"],
        "rules": [
            [name.replace("_", " "), str(value)]
            for name, value in record["rules"].items()
            if str(value) != ""
        ],
        "warnings": record["warnings"],
        "sources": record["sources"],
        "cautions": _cautions(record, words),
        "signature": _signature(record["signature"], words),
        "made": [
            [words["seed"], f"{record['seed']}; {record['draws']}"],
            [words["versions"], ", ".join(f"{name} {value}" for name, value in record["versions"].items())],
            [words["reading"], ", ".join(f"{name}: {value}" for name, value in record["reading"].items())],
        ],
    }


def _described(thing: Mapping[str, object]) -> str:
    """Name and words of a cabinet or a room, the name once."""
    name, told = str(thing.get("name", "")), str(thing.get("words", ""))
    text = told if told.startswith(name) else f"{name}. {told}"
    return text if text.endswith(".") else f"{text}."


def _assessed(record: Record, words: Words) -> str:
    return f"{words['assessed']} {day(record['date'], words)}"


def _cautions(record: Record, words: Words) -> list[str]:
    """The record's own; the two that stand on every paper are added where it does not say them itself."""
    own = [text for text in record["cautions"] if text]
    said = " ".join(own).casefold()
    always = [words["aid"]] * ("decision aid" not in said) + [words["fire"]] * ("fire-rated" not in said)
    return [*always, *own]


def _clock_days(triple: Any, words: Words) -> list[str]:
    median, span = interval(triple, days, words)
    return ["—", ""] if median == words["no value"] else [median, span]


def _signature(signature: Mapping[str, str] | None, words: Words) -> dict[str, str] | None:
    if signature is None:
        return None
    return {
        "name": signature.get("name", ""),
        "meaning": signature.get("meaning", ""),
        "date": moment(signature.get("time_utc", ""), words),
        "anchor": anchor(signature, words),
        "review": reviewed_by(signature, words),
    }
