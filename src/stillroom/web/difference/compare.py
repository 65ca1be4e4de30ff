"""Two results side by side: what was asked differently, and what came out differently."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from stillroom.web.check.answers import answers
from stillroom.web.templatetags.words import clock, days, middle_percent, percent, span_days, verdict

__all__ = ["Pair", "containers", "inputs", "outcomes", "substances"]


@dataclass(frozen=True)
class Pair:
    """One line: what it is, before and after."""

    what: str
    before: str
    after: str
    long: bool = False
    """sentences, one a line"""

    @property
    def changed(self) -> bool:
        return self.before != self.after


def inputs(before: Any, after: Any) -> list[Pair]:
    """The answers that differ."""
    pairs = []
    old = {section.step: section for section in answers(before)}
    for section in answers(after):
        then = _lines(old[section.step].rows)
        now = _lines(section.rows)
        for name in {**then, **now}:
            pair = Pair(f"{section.title}: {name}", then.get(name, _("none")), now.get(name, _("none")))
            if pair.changed:
                pairs.append(pair)
    return pairs


def _lines(rows: list[tuple[str, str]]) -> dict[str, str]:
    found: dict[str, str] = {}
    for name, value in rows:
        found[name] = f"{found[name]}; {value}" if name in found else value
    return found


def containers(before: dict[str, Any], after: dict[str, Any]) -> list[Pair]:
    """The rows of the inventory that differ, as multisets of what stands in a row."""
    then, now = _rows(before), _rows(after)
    names = {**then, **now}
    pairs = [Pair(name, then.get(name, _("none")), now.get(name, _("none"))) for name in names]
    return [pair for pair in pairs if pair.changed]


def _rows(record: dict[str, Any]) -> dict[str, str]:
    found: dict[str, list[str]] = {}
    for row in record["containers"]:
        name = " ".join(part for part in (row["name"], row["concentration"]) if part)
        found.setdefault(name, []).append(f"{row['count']} × {row['amount']}")
    return {name: ", ".join(sorted(sizes)) for name, sizes in found.items()}


def outcomes(before: dict[str, Any], after: dict[str, Any]) -> list[Pair]:
    """Verdict, life, clocks and index of both."""
    pairs = [
        Pair(_("Verdict"), verdict(before["verdict"]), verdict(after["verdict"])),
        Pair(_("Replace the filter after"), _life(before), _life(after)),
        Pair(_("What governs"), before["governing_words"] or "–", after["governing_words"] or "–"),
    ]
    then = {row["name"]: row for row in before["clocks"]}
    now = {row["name"]: row for row in after["clocks"]}
    pairs += [Pair(clock(name), _clock(then.get(name)), _clock(now.get(name))) for name in {**then, **now}]
    for title, key in (
        (_("Mixture index, exhaust"), "mixture_index"),
        (_("Mixture index, room"), "room_mixture_index"),
    ):
        pairs.append(Pair(title, middle_percent(before[key]), middle_percent(after[key])))
    pairs.append(Pair(_("Conditions"), str(len(before["conditions"])), str(len(after["conditions"]))))
    unsolved = [str(sum(not row["solved"] for row in record["conflicts"])) for record in (before, after)]
    return [*pairs, Pair(_("Unsolved conflicts"), *unsolved)]


def _life(record: dict[str, Any]) -> str:
    return _("no life stated") if record["label_life_days"] is None else days(record["label_life_days"])


def _clock(row: dict[str, Any] | None) -> str:
    if row is None:
        return _("none")
    who = f", {row['governing_name']}" if row["governing_name"] else ""
    return span_days(row["days"]) + who


def substances(before: dict[str, Any], after: dict[str, Any]) -> list[tuple[str, list[Pair]]]:
    """Each substance with the lines that differ; those with none are left out."""
    then = {row["cas"] or row["name"]: row for row in before["substances"]}
    now = {row["cas"] or row["name"]: row for row in after["substances"]}
    found = []
    for key in {**then, **now}:
        lines = _substance(then.get(key), now.get(key))
        if lines:
            found.append(((now.get(key) or then[key])["name"], lines))
    return found


def _substance(old: dict[str, Any] | None, new: dict[str, Any] | None) -> list[Pair]:
    if old is None or new is None:
        words = [_("not there") if row is None else verdict(row["verdict"]) for row in (old, new)]
        return [Pair(_("Verdict"), *words)]
    rows = [
        (_("Verdict"), lambda row: verdict(row["verdict"])),
        (_("Filter's life for it"), lambda row: span_days(row["service_life_days"])),
        (_("Exhaust, part of the limit"), lambda row: middle_percent(row["exhaust_fraction_of_limit"])),
        (_("Room in a spill, part of the short-term limit"), _spill),
    ]
    pairs = [Pair(title, words(old), words(new)) for title, words in rows]
    then, now = old["reasons"], new["reasons"]
    gone, come = (
        [line for line in these if line not in those] for these, those in ((then, now), (now, then))
    )
    pairs.append(Pair(_("Reasons that differ"), "\n".join(gone), "\n".join(come), long=True))
    return [pair for pair in pairs if pair.changed]


def _spill(row: dict[str, Any]) -> str:
    spill = row["spill"]
    return percent(spill["room_fraction_of_short_limit"]["p95"]) if spill else "–"
