"""The validation record on A4: the decision first, then everything that it stands on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from stillroom.assessment.record import Record
from stillroom.documents import tables
from stillroom.documents.charts import clocks_svg, exhaust_svg
from stillroom.documents.charts.svg import described
from stillroom.documents.figures import day, days, interval
from stillroom.documents.press import press
from stillroom.documents.text import REPLACEMENT, clean, printable, together
from stillroom.documents.words import Words, words_of

__all__ = ["record_pdf"]


def record_pdf(record: Record, *, language: str = "en") -> bytes:
    """The validation record as PDF (A4; PDF/A-2a and PDF/UA-1).

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
    for name, draw in (("exhaust", exhaust_svg), ("clocks", clocks_svg)):
        view[f"{name}_svg"] = draw(record, language=language)
        view[f"{name}_alt"] = described(view[f"{name}_svg"])
    return press("record.typ", view, date=record["date"])


def _view(record: Record, words: Words) -> dict[str, Any]:
    """What the template prints, already in words; the template only lays out."""
    limits, limits_note = tables.limits(record, words)
    conflicts, conflict_sources = tables.conflicts(record, words)
    refused = record["verdict"] in tables.REFUSED
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
        "reasons": _reasons(record, words),
        "conditions": together(record["conditions"], [item["name"] for item in record["substances"]]),
        "cabinet": [str(record["cabinet"].get("name", "")), str(record["cabinet"].get("words", ""))],
        "room": [str(record["room"].get("name", "")), str(record["room"].get("words", ""))],
        "inventory": tables.inventory(record, words),
        "inventory_note": words["inventory note"].format(file=record["reading"].get("file", "—")),
        "limits": limits,
        "limits_note": limits_note,
        "results": tables.results(record, words),
        "results_note": words["results note"].format(draws=record["draws"]),
        "spills": tables.spills(record, words),
        "substances": tables.told(record, words),
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
        "checks": tables.checks(record, words),
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


def _reasons(record: Record, words: Words) -> list[list[Any]]:
    """Substance, verdict, reasons: the refused first, then the one that governs."""
    telling = [
        item
        for item in record["substances"]
        if item["verdict"] in tables.REFUSED or item["cas"] == record["governing"]
    ]
    telling.sort(key=lambda item: item["verdict"] not in tables.REFUSED)
    unknown = [item for item in record["containers"] if not item["known"]]
    return [[item["name"], words["cannot tell"], [words["contents unknown"] + "."]] for item in unknown] + [
        [item["name"], words[item["verdict"]], item["reasons"]] for item in telling
    ]


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
    moment = signature.get("time_utc", "")
    return {
        "name": signature.get("name", ""),
        "meaning": signature.get("meaning", ""),
        "date": f"{day(moment[:10], words)}, {moment[11:16]} UTC" if len(moment) >= 16 else moment,
    }
