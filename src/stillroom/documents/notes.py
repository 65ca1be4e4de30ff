"""What the record's table cannot say in numbers: remarks, visits, conflicts, each said once for all whom it concerns."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from typing import Any

from stillroom.assessment.record import ConflictRecord, Record, SubstanceRecord
from stillroom.documents.figures import spans
from stillroom.documents.words import Words

__all__ = ["REFUSED", "conflicts", "decides", "largest", "remarks", "visits"]

REFUSED = ("not approved", "cannot tell")
SENTENCE = re.compile(r"(?<=[.!?])\s+")
ASIDE = re.compile(r"\s*\((?:[^()]|\([^()]*\))*\)")
"""words in brackets, one pair inside another at most"""
TABULATED = ("Limit: ", "Normal storage")
"""reasons whose first sentence stands in the table as numbers"""
SPILL = "Design spill"
"""reasons that stand in the table as a whole"""


def _rows(record: Record) -> dict[str, list[int]]:
    """Rows of the inventory for each CAS number."""
    found: dict[str, list[int]] = {}
    for item in record["containers"]:
        if item["cas"]:
            found.setdefault(item["cas"], []).append(item["row"])
    return found


def _who(substances: Sequence[SubstanceRecord], record: Record, words: Words) -> str:
    """“Rows 2, 4–6”: the substances by their rows, by name where they have none."""
    known = _rows(record)
    numbers = [row for item in substances for row in known.get(item["cas"], [])]
    names = [item["name"] for item in substances if item["cas"] not in known]
    rows = (
        words["rows of" if len(set(numbers)) > 1 else "row of"].format(rows=spans(numbers)) if numbers else ""
    )
    return ", ".join(part for part in (rows, *dict.fromkeys(names)) if part)


def _beyond(substance: SubstanceRecord) -> list[str]:
    """Sentences among the reasons that say more than the table's numbers."""
    limit = substance["limit"]
    kept: list[str] = []
    for reason in substance["reasons"]:
        if reason.startswith(SPILL):
            continue
        if not reason.startswith(TABULATED):
            kept.append(reason)
            continue
        kept += [
            sentence
            for sentence in SENTENCE.split(reason)[1:]
            if not (limit and sentence.startswith(limit["list_title"]))
        ]
    return kept


def decides(record: Record, words: Words) -> list[list[str]]:
    """Name, verdict and reasons: contents unknown, then the refused, then what governs."""
    telling = [
        item
        for item in record["substances"]
        if item["verdict"] in REFUSED or item["cas"] == record["governing"]
    ]
    telling.sort(key=lambda item: item["verdict"] not in REFUSED)
    told = [
        [item["name"], words["cannot tell"], words["contents unknown"] + "."]
        for item in record["containers"]
        if not item["known"]
    ]
    for item in telling:
        reasons = dict.fromkeys([*item["reasons"][:1], *_beyond(item)])
        told.append([item["name"], words[item["verdict"]], " ".join(reasons)])
    return told


def remarks(record: Record, words: Words) -> list[list[str]]:
    """[whom, sentence] for what is not told on the first page, equal sentences once, the most particular first."""
    groups: dict[str, list[SubstanceRecord]] = {}
    for substance in record["substances"]:
        if substance["verdict"] in REFUSED or substance["cas"] == record["governing"]:
            continue
        for sentence in dict.fromkeys(_beyond(substance)):
            groups.setdefault(sentence, []).append(substance)
    ordered = sorted(groups.items(), key=lambda group: len(group[1]))
    return [[_who(group, record, words), sentence] for sentence, group in ordered]


def largest(record: Record, words: Words) -> list[list[str]]:
    """[whom, what bounds the largest container], equal words once."""
    groups: dict[str, list[SubstanceRecord]] = {}
    for substance in record["substances"]:
        if substance["largest_amount_words"]:
            groups.setdefault(substance["largest_amount_words"], []).append(substance)
    return [[_who(group, record, words), said] for said, group in groups.items()]


def visits(record: Record, words: Words) -> list[dict[str, Any]]:
    """A way to check, the substances it serves, and what the lamps see of them; ways that differ in brackets only are one."""
    groups: dict[str, list[SubstanceRecord]] = {}
    for substance in record["substances"]:
        if substance["check_point"]:
            groups.setdefault(ASIDE.sub("", substance["check_point"]), []).append(substance)
    told: list[dict[str, Any]] = []
    for way, group in groups.items():
        lamps: dict[str, list[SubstanceRecord]] = {}
        for substance in group:
            if substance["visibility"]:
                lamps.setdefault(_lamps(substance, words), []).append(substance)
        told.append(
            {
                "code": f"V{len(told) + 1}",
                "way": way,
                "names": [item["name"] for item in group],
                "who": _who(group, record, words),
                "lamps": [
                    ["" if len(lamps) == 1 else _who(same, record, words), seen]
                    for seen, same in lamps.items()
                ],
            }
        )
    return told


def _lamps(substance: SubstanceRecord, words: Words) -> str:
    """What each lamp sees, in a few words; the full sentences stand in ``record.json``."""
    seen: dict[str, list[str]] = {}
    for item in substance["visibility"]:
        if item["sees"] is None:
            said = words["lamp unknown"]
        elif not item["sees"]:
            said = words["lamp no"]
        else:
            said = words[{True: "lamp yes", False: "lamp part", None: "lamp open"}[item["sees_criterion"]]]
        seen.setdefault(said, []).append(f"{item['lamp_eV']:.1f}")
    return "; ".join(f"{', '.join(lamps)} eV: {said}" for said, lamps in seen.items())


def conflicts(record: Record, words: Words) -> tuple[list[dict[str, Any]], list[str]]:
    """An entry a hazard: all pairs that share consequence, need, outcome and source; the open ones first; and the sources.

    ``record.json`` holds every pair with both CAS numbers.
    """
    often = Counter(name for item in record["conflicts"] for name in item["names"])
    leaving = {item["name"] for item in record["substances"] if item["verdict"] in REFUSED}
    sources: dict[str, int] = {}
    groups: dict[tuple[Any, ...], dict[str, list[str]]] = {}
    for item in record["conflicts"]:
        outcome = _outcome(item, leaving)
        hub = max(item["names"], key=lambda name: (often[name], name))
        others = [name for name in item["names"] if name != hub] or [hub]
        number = sources.setdefault(item["source"], len(sources) + 1)
        mend = item["mend"] if outcome == "unsolved" else ""
        key = (item["hazard"], item["consequence"], item["severity"], outcome, mend, number)
        groups.setdefault(key, {}).setdefault(hub, []).extend(others)
    entries = [
        {
            "pairs": _pairs(partners),
            "hazard": f"{hazard}: {consequence}" if consequence and consequence != hazard else hazard,
            "needs": severity,
            "open": outcome == "unsolved",
            "outcome": words[outcome],
            "mend": mend,
            "source": str(number),
        }
        for (hazard, consequence, severity, outcome, mend, number), partners in groups.items()
    ]
    order = [words[name] for name in ("unsolved", "not staying", "solved")]
    return sorted(entries, key=lambda entry: order.index(entry["outcome"])), list(sources)


def _outcome(item: ConflictRecord, leaving: set[str]) -> str:
    if item["solved"]:
        return "solved"
    return "not staying" if leaving & set(item["names"]) else "unsolved"


def _pairs(partners: dict[str, list[str]]) -> list[list[str]]:
    """[these, those]: substances that share all their partners stand together."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for hub, others in partners.items():
        alike.setdefault(tuple(dict.fromkeys(others)), []).append(hub)
    return [[", ".join(hubs), ", ".join(others)] for others, hubs in alike.items()]
