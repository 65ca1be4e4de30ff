"""The validation record on A4: the decision first, then everything that it stands on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

from stillroom.assessment.record import LimitRecord, Record, SubstanceRecord
from stillroom.documents.charts import clocks_svg, exhaust_svg
from stillroom.documents.charts.svg import described
from stillroom.documents.figures import day, days, interval, number, percent, plain
from stillroom.documents.press import press
from stillroom.documents.text import REPLACEMENT, clean, printable, together
from stillroom.documents.words import Words, words_of

__all__ = ["record_pdf"]

LEAST_G_PER_DAY = 1e-4
REFUSED = ("not approved", "cannot tell")


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

    Examples
    --------
    >>> record_pdf(record)[:5]  # doctest: +SKIP
    b'%PDF-'
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
    limits, limits_note = _limits(record, words)
    conflicts, conflict_sources = _conflicts(record, words)
    refused = record["verdict"] in REFUSED
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
        "inventory": _inventory(record, words),
        "inventory_note": words["inventory note"].format(file=record["reading"].get("file", "—")),
        "limits": limits,
        "limits_note": limits_note,
        "results": _results(record, words),
        "results_note": words["results note"].format(draws=record["draws"]),
        "spills": _spills(record, words),
        "substances": _told(record, words),
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
        "checks": _checks(record, words),
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
        if item["verdict"] in REFUSED or item["cas"] == record["governing"]
    ]
    telling.sort(key=lambda item: item["verdict"] not in REFUSED)
    unknown = [item for item in record["containers"] if not item["known"]]
    return [[item["name"], words["cannot tell"], [words["contents unknown"] + "."]] for item in unknown] + [
        [item["name"], words[item["verdict"]], item["reasons"]] for item in telling
    ]


def _conflicts(record: Record, words: Words) -> tuple[list[dict[str, Any]], list[str]]:
    """One entry for all partners of a substance that share everything else, the unsolved first; and the sources.

    ``record.json`` holds every pair with both CAS numbers.
    """
    often = Counter(name for item in record["conflicts"] for name in item["names"])
    partners: dict[tuple[Any, ...], list[str]] = {}
    sources: dict[str, int] = {}
    for item in sorted(record["conflicts"], key=lambda item: item["solved"]):
        hub = max(item["names"], key=lambda name: (often[name], name))
        others = [name for name in item["names"] if name != hub] or [hub]
        number = sources.setdefault(item["source"], len(sources) + 1)
        mend = "" if item["solved"] else item["mend"]
        what = (item["hazard"], item["consequence"], item["severity"], item["solved"], mend, number)
        partners.setdefault((hub, *what), []).extend(others)
    entries = [
        {
            "pair": [hub, ", ".join(dict.fromkeys(others))],
            "hazard": f"{hazard}: {consequence}" if consequence and consequence != hazard else hazard,
            "severity": severity,
            "solved": solved,
            "mend": mend,
            "source": str(number),
            "state": f"{words['solved']}: {severity}." if solved else f"{words['unsolved']}. {severity}.",
        }
        for (hub, hazard, consequence, severity, solved, mend, number), others in partners.items()
    ]
    return entries, list(sources)


def _assessed(record: Record, words: Words) -> str:
    return f"{words['assessed']} {day(record['date'], words)}"


def _cautions(record: Record, words: Words) -> list[str]:
    """The record's own; the two that stand on every paper are added where it does not say them itself."""
    own = [text for text in record["cautions"] if text]
    said = " ".join(own).casefold()
    always = [words["aid"]] * ("decision aid" not in said) + [words["fire"]] * ("fire-rated" not in said)
    return [*always, *own]


def _inventory(record: Record, words: Words) -> list[list[str]]:
    return [
        [
            str(item["row"]),
            item["name"] if item["known"] else f"{item['name']} ({words['contents unknown']})",
            item["cas"] or "—",
            f"{item['count']} × {item['amount']}" if item["count"] != 1 else item["amount"],
            ", ".join(part for part in (item["concentration"], item["closure"]) if part),
            item["place"].removeprefix("compartment ") or words["not placed"],
            words[f"short {item['verdict']}"],
        ]
        for item in record["containers"]
    ]


def _value(limit: LimitRecord) -> str:
    more = ", ".join(
        part for part in (limit["fraction"], limit["measured_as"] and f"as {limit['measured_as']}") if part
    )
    return f"{plain(limit['value'])} {limit['unit']}" + (f" ({more})" if more else "")


def _limits(record: Record, words: Words) -> tuple[list[list[Any]], str]:
    """The limit that decides, a row a substance, its list as a letter; and the note that spells the letters out."""
    letters: dict[str, str] = {}
    rows: list[list[Any]] = []
    for substance in record["substances"]:
        limit, name = substance["limit"], [substance["name"], substance["cas"]]
        if limit is None:
            rows.append([name, words["no limit"], "", "", "", ""])
            continue
        letter = letters.setdefault(
            f"{limit['list_title']}, {limit['edition']}", chr(ord("a") + len(letters) % 26)
        )
        others = len([other for other in substance["limits_all"] if other != limit])
        more = words["more limits"].format(count=others) if others else ""
        where = "; ".join(part for part in (limit["locator"], more) if part)
        rows.append([name, _value(limit), limit["basis"], letter, where, ", ".join(limit["notations"])])
    note = words["limits note"].format(
        ordering=record["limit_ordering"],
        lists="; ".join(f"{item['title']}, {item['edition']}" for item in record["limit_lists"]) or "—",
    )
    return rows, note + " " + "; ".join(f"{letter}\u00a0= {title}" for title, letter in letters.items()) + "."


def _results(record: Record, words: Words) -> dict[str, Any]:
    rows = [
        [
            [substance["name"], substance["containers"]],
            interval(substance["emission_g_per_day"], _grams, words),
            interval(substance["exhaust_fraction_of_limit"], percent, words),
            interval(substance["exhaust_fraction_unfiltered"], percent, words),
            interval(substance["room_fraction_of_limit"], percent, words),
            interval(substance["service_life_days"], days, words),
        ]
        for substance in record["substances"]
    ]
    total = [
        interval(record["mixture_index"], percent, words),
        interval(record["room_mixture_index"], percent, words),
        interval(record["service_life_days"], days, words),
    ]
    return {"rows": rows, "total": total}


def _grams(value: float) -> str:
    """Grams a day; less than 0.1 mg only as less."""
    return number(value) if value == 0 or value >= LEAST_G_PER_DAY else f"<\u202f{plain(LEAST_G_PER_DAY)}"


def _spills(record: Record, words: Words) -> list[list[list[str]]]:
    return [
        [
            [substance["name"], spill["container"]],
            interval(spill["evaporation_g_per_min"], number, words),
            interval(spill["cabinet_fraction_of_lfl"], percent, words),
            interval(spill["cabinet_fraction_of_lfl_fan_stopped"], percent, words),
            interval(spill["room_fraction_of_short_limit"], percent, words),
            interval(spill["room_fraction_of_twa"], percent, words),
        ]
        for substance in record["substances"]
        if (spill := substance["spill"]) is not None
    ]


def _told(record: Record, words: Words) -> list[dict[str, Any]]:
    """Substance by substance what a reader needs words for; the others together."""
    conditions = " ".join(record["conditions"])
    full: list[dict[str, Any]] = []
    alike: dict[tuple[str, str], list[dict[str, Any]]] = {}
    for substance in record["substances"]:
        told = _substance(substance, words)
        telling = substance["verdict"] in REFUSED or substance["cas"] == record["governing"]
        if telling or substance["name"].casefold() in conditions.casefold():
            full.append(told)
        else:
            alike.setdefault((told["verdict"], told["largest"]), []).append(told)
    for group in alike.values():
        names = ", ".join(told["name"] for told in group)
        full.append({**group[0], "name": names, "cas": "", "reasons": [words["numbers above"]]})
    return full


def _lamps(substance: SubstanceRecord, words: Words) -> str:
    """What each lamp sees, in a word or two; the full sentences stand in ``record.json``."""
    seen: dict[str, list[str]] = {}
    for item in substance["visibility"]:
        if item["sees"] is None:
            said = words["lamp unknown"]
        elif not item["sees"]:
            said = words["lamp no"]
        else:
            said = words[{True: "lamp yes", False: "lamp part", None: "lamp open"}[item["sees_criterion"]]]
        seen.setdefault(said, []).append(f"{item['lamp_eV']:.1f}")
    return "; ".join(f"{', '.join(lamps)} eV: {said}" for said, lamps in seen.items()) or "—"


def _checks(record: Record, words: Words) -> list[list[str]]:
    """How and where to check, what the lamps see, and for which substances: those alike in one row."""
    rows: dict[tuple[str, str], list[str]] = {}
    for substance in record["substances"]:
        if substance["check_point"]:
            rows.setdefault((substance["check_point"], _lamps(substance, words)), []).append(
                substance["name"]
            )
    return [[", ".join(names), check, lamps] for (check, lamps), names in rows.items()]


def _substance(substance: SubstanceRecord, words: Words) -> dict[str, Any]:
    largest, amount = substance["largest_amount_words"], substance["largest_amount"]
    if amount is not None and plain(amount) not in largest:
        largest = ", ".join(
            part for part in (f"{number(amount)} {substance['largest_amount_unit']}", largest) if part
        )
    return {
        "name": substance["name"],
        "cas": substance["cas"],
        "verdict": words[substance["verdict"]],
        "reasons": substance["reasons"],
        "largest": largest,
    }


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
