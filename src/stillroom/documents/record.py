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
from stillroom.documents.text import REPLACEMENT, clean, printable
from stillroom.documents.words import Words, words_of

__all__ = ["record_pdf"]

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
        "conditions": record["conditions"],
        "cabinet": [str(record["cabinet"].get("name", "")), str(record["cabinet"].get("words", ""))],
        "room": [str(record["room"].get("name", "")), str(record["room"].get("words", ""))],
        "inventory": _inventory(record, words),
        "inventory_note": words["inventory note"].format(file=record["reading"].get("file", "—")),
        "limits": [_limit_rows(substance, words) for substance in record["substances"]],
        "limits_note": words["limits note"].format(
            ordering=record["limit_ordering"],
            lists="; ".join(f"{item['title']}, {item['edition']}" for item in record["limit_lists"]) or "—",
        ),
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
        "conflicts": _conflicts(record),
        "assumptions": record["assumptions"],
        "rules": [[name, str(value)] for name, value in record["rules"].items()],
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


def _conflicts(record: Record) -> list[dict[str, Any]]:
    """One entry for all partners of a substance that share everything else; the unsolved first.

    ``record.json`` holds every pair with both CAS numbers.
    """
    often = Counter(name for item in record["conflicts"] for name in item["names"])
    partners: dict[tuple[Any, ...], list[str]] = {}
    for item in sorted(record["conflicts"], key=lambda item: item["solved"]):
        hub = max(item["names"], key=lambda name: (often[name], name))
        others = [name for name in item["names"] if name != hub] or [hub]
        what = tuple(item[key] for key in ("hazard", "consequence", "severity", "solved", "mend", "source"))
        partners.setdefault((hub, *what), []).extend(others)
    return [
        {
            "pair": [hub, ", ".join(dict.fromkeys(others))],
            "hazard": hazard,
            "consequence": consequence,
            "severity": severity,
            "solved": solved,
            "mend": mend,
            "source": source,
        }
        for (hub, hazard, consequence, severity, solved, mend, source), others in partners.items()
    ]


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
            item["place"] or words["not placed"],
            words[item["verdict"]],
        ]
        for item in record["containers"]
    ]


def _value(limit: LimitRecord) -> str:
    more = ", ".join(
        part for part in (limit["fraction"], limit["measured_as"] and f"as {limit['measured_as']}") if part
    )
    return f"{plain(limit['value'])} {limit['unit']}" + (f" ({more})" if more else "")


def _limit_rows(substance: SubstanceRecord, words: Words) -> dict[str, Any]:
    """The limit that decides; the others stand in ``record.json``, and their number here."""
    chosen = substance["limit"]
    others = len([limit for limit in substance["limits_all"] if limit != chosen])
    more = words["more limits"].format(count=others) if others else ""
    rows = [
        [
            _value(limit),
            limit["basis"],
            f"{limit['list_title']}, {limit['edition']}",
            "; ".join(part for part in (limit["locator"], more) if part),
            ", ".join(limit["notations"]),
        ]
        for limit in ([chosen] if chosen else [])
    ]
    name = f"{substance['name']}", substance["cas"]
    return {"name": name, "chosen": chosen is not None, "rows": rows or [[words["no limit"], "", "", "", ""]]}


def _results(record: Record, words: Words) -> dict[str, Any]:
    rows = [
        [
            [substance["name"], substance["containers"]],
            interval(substance["emission_g_per_day"], number, words),
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
    """Substance by substance what a reader needs words for; the rest, alike in how it is checked, in one row each way."""
    conditions = " ".join(record["conditions"])
    full, alike = [], {}
    for substance in record["substances"]:
        told = _substance(substance, words)
        if (
            substance["verdict"] in REFUSED
            or substance["cas"] == record["governing"]
            or substance["name"] in conditions
        ):
            full.append(told)
        else:
            alike.setdefault((told["verdict"], told["largest"], told["check"], told["lamps"]), []).append(told)
    for group in alike.values():
        names = ", ".join(told["name"] for told in group)
        full.append({**group[0], "name": names, "cas": "", "reasons": [words["numbers above"]]})
    return full


def _substance(substance: SubstanceRecord, words: Words) -> dict[str, Any]:
    lamps: dict[str, list[str]] = {}
    for item in substance["visibility"]:
        lamps.setdefault(item["words"], []).append(f"{item['lamp_eV']:.1f}")
    return {
        "name": substance["name"],
        "cas": substance["cas"],
        "verdict": words[substance["verdict"]],
        "reasons": substance["reasons"],
        "largest": substance["largest_amount_words"],
        "check": substance["check_point"],
        "lamps": "; ".join(f"{', '.join(values)} eV {said}" for said, values in lamps.items()),
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
