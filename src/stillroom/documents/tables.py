"""The record's one table: what stands in the cabinet, its limit, and what was computed for it, a row a substance."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from typing import Any

from stillroom.assessment.record import ContainerRecord, IntervalRecord, LimitRecord, Record, SubstanceRecord
from stillroom.documents.figures import days, interval, number, plain, rounded
from stillroom.documents.notes import visits
from stillroom.documents.words import Words

__all__ = ["limits", "rows", "total"]

EMISSION_DECIMALS = 1
"""of milligrams a day"""
STORAGE_DECIMALS = 3
"""of per cent of a limit in normal storage: a thousandth of the 1 % criterion"""
SPILL_DECIMALS = 2
"""of per cent of a limit in a spill: a ten-thousandth of the criterion; and of grams a minute"""
PLACE = re.compile(r"compartment (?P<compartment>[^,]+), shelf (?P<shelf>[^,]+)(?:, tray (?P<tray>[^,]+))?")


def _emitted(grams: float) -> str:
    return rounded(1000 * grams, EMISSION_DECIMALS)


def _storage(fraction: float) -> str:
    return rounded(100 * fraction, STORAGE_DECIMALS)


def _spilt(fraction: float) -> str:
    return rounded(100 * fraction, SPILL_DECIMALS)


def _vapour(grams: float) -> str:
    return rounded(grams, SPILL_DECIMALS)


def rows(record: Record, words: Words) -> list[dict[str, Any]]:
    """A dictionary a substance: its rows of the inventory (`lines`), and what holds for all of them.

    Containers belong to the substance with their CAS number (to the first, where two share it); those that belong to
    none, such as an unlabelled bottle, stand at the end.
    """
    waiting = {item["key"]: item for item in record["containers"]}
    codes = {name: group["code"] for group in visits(record, words) for name in group["names"]}
    letters = _letters(record)
    told: list[dict[str, Any]] = []
    for substance in record["substances"]:
        own = [item for item in waiting.values() if item["cas"] and item["cas"] == substance["cas"]]
        for item in own:
            del waiting[item["key"]]
        lines = [_line(item, substance["name"], words) for item in own]
        told.append(
            {
                "lines": lines or [_without_row(substance, words)],
                "limit": _limit(substance["limit"], letters, words),
                **_numbers(substance, words),
                "largest": _largest(substance),
                "visit": codes.get(substance["name"], "—"),
                "verdict": words[f"short {substance['verdict']}"],
            }
        )
    for item in waiting.values():
        told.append(
            {
                "lines": [_line(item, "", words)],
                "limit": [words["no limit"], ""],
                **_numbers(None, words),
                "largest": "—",
                "visit": "—",
                "verdict": words[f"short {item['verdict']}"],
            }
        )
    return sorted(told, key=lambda row: (row["lines"][0]["row"] == "", int(row["lines"][0]["row"] or 0)))


def _line(item: ContainerRecord, assessed: str, words: Words) -> dict[str, Any]:
    name, cas = item["name"], item["cas"]
    if not item["known"]:
        assessed = words["contents unknown"]
    identity = ", ".join(
        part for part in (assessed if assessed.casefold() != name.casefold() else "", cas or "—") if part
    )
    count = f"{item['count']} × {item['amount']}" if item["count"] != 1 else item["amount"]
    strength = item["concentration"] if item["concentration"] not in name else ""
    return {
        "row": str(item["row"]),
        "name": [name, identity],
        "containers": [", ".join(part for part in (count, strength) if part), item["closure"]],
        "place": _place(item["place"]) or words["not placed"],
        "verdict": words[f"short {item['verdict']}"],
    }


def _without_row(substance: SubstanceRecord, words: Words) -> dict[str, Any]:
    return {
        "row": "",
        "name": [substance["name"], substance["cas"] or "—"],
        "containers": [substance["containers"], words["no row"]],
        "place": "—",
        "verdict": words[f"short {substance['verdict']}"],
    }


def _place(said: str) -> str:
    """“A / 2 / 1” for “compartment A, shelf 2, tray 1”; other words as they are."""
    found = PLACE.fullmatch(said)
    return " / ".join(part for part in found.groups() if part) if found else said


def _numbers(substance: SubstanceRecord | None, words: Words) -> dict[str, Any]:
    unknown: IntervalRecord = {"p05": None, "p50": None, "p95": None}
    storage: list[tuple[str, Callable[[float], str]]] = [
        ("emission_g_per_day", _emitted),
        ("exhaust_fraction_unfiltered", _storage),
        ("exhaust_fraction_of_limit", _storage),
        ("room_fraction_of_limit", _storage),
        ("service_life_days", days),
    ]
    spilt: list[tuple[str, Callable[[float], str]]] = [
        ("evaporation_g_per_min", _vapour),
        ("cabinet_fraction_of_lfl", _spilt),
        ("cabinet_fraction_of_lfl_fan_stopped", _spilt),
        ("room_fraction_of_short_limit", _spilt),
        ("room_fraction_of_twa", _spilt),
    ]
    values: dict[str, Any] = dict(substance) if substance else {}
    spill: Any = values.get("spill")
    return {
        "storage": [interval(values.get(name, unknown), show, words) for name, show in storage],
        "spill": [interval(spill[name], show, words) for name, show in spilt] if spill else [],
    }


def _largest(substance: SubstanceRecord) -> str:
    amount = substance["largest_amount"]
    return "—" if amount is None else f"{number(amount)} {substance['largest_amount_unit']}"


def total(record: Record, words: Words) -> list[list[str]]:
    """The mixture index at the exhaust and in the room, and the life of all together."""
    return [
        interval(record["mixture_index"], _storage, words),
        interval(record["room_mixture_index"], _storage, words),
        interval(record["service_life_days"], days, words),
    ]


# ---- limits


def _title(limit: LimitRecord) -> str:
    return f"{limit['list_title']}, {limit['edition']}"


def _letters(record: Record) -> dict[str, str]:
    """A letter for each list that gave a limit, in the order of the substances."""
    used = dict.fromkeys(_title(item["limit"]) for item in record["substances"] if item["limit"])
    return {title: chr(ord("a") + index % 26) for index, title in enumerate(used)}


def _limit(limit: LimitRecord | None, letters: dict[str, str], words: Words) -> list[str]:
    if limit is None:
        return [words["no limit"], ""]
    kind = ", ".join(
        part for part in (limit["fraction"], limit["measured_as"] and f"as {limit['measured_as']}") if part
    )
    value = f"{plain(limit['value'])} {limit['unit'].replace('m3', 'm³')} {limit['basis']}"
    return [value, "; ".join(part for part in (letters[_title(limit)], kind, *limit["notations"]) if part)]


def limits(record: Record, words: Words) -> dict[str, Any]:
    """How the limits were chosen; and a list a letter: its title and where in it each limit stands."""
    found: dict[str, dict[str, list[str]]] = {}
    limited = [(item["name"], item["limit"]) for item in record["substances"] if item["limit"]]
    tables = Counter((_title(limit), limit["locator"].partition(", ")[0]) for _, limit in limited)
    for name, limit in limited:
        title = _title(limit)
        table, _, entry = limit["locator"].partition(", ")
        if not entry or (tables[title, table] == 1 and entry.casefold() != name.casefold()):
            table, entry = "", limit["locator"]
        named = name if entry.casefold() == name.casefold() else f"{name} ({entry})"
        found.setdefault(title, {}).setdefault(table, []).append(named)
    return {
        "note": words["limits note"].format(
            ordering=record["limit_ordering"],
            lists="; ".join(f"{item['title']}, {item['edition']}" for item in record["limit_lists"]) or "—",
        ),
        "lists": [
            [
                letter,
                title,
                "; ".join(
                    f"{table}: {', '.join(names)}" if table else ", ".join(names)
                    for table, names in found[title].items()
                )
                + ".",
            ]
            for title, letter in _letters(record).items()
        ],
    }
