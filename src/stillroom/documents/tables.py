"""The tables of the validation record as rows of words: what is known, what is not, and where the rest stands."""

from __future__ import annotations

from collections import Counter
from typing import Any

from stillroom.assessment.record import LimitRecord, Record, SubstanceRecord
from stillroom.documents.figures import days, interval, number, percent, plain
from stillroom.documents.words import Words

__all__ = [
    "LEAST_G_PER_DAY",
    "REFUSED",
    "checks",
    "conflicts",
    "inventory",
    "limits",
    "results",
    "spills",
    "told",
]

LEAST_G_PER_DAY = 1e-4
"""less is printed as less [g/day]"""
REFUSED = ("not approved", "cannot tell")


def conflicts(record: Record, words: Words) -> tuple[list[dict[str, Any]], list[str]]:
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


def inventory(record: Record, words: Words) -> list[list[str]]:
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


def limits(record: Record, words: Words) -> tuple[list[list[Any]], str]:
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


def results(record: Record, words: Words) -> dict[str, Any]:
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


def spills(record: Record, words: Words) -> list[list[list[str]]]:
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


def told(record: Record, words: Words) -> list[dict[str, Any]]:
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


def checks(record: Record, words: Words) -> list[list[str]]:
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
