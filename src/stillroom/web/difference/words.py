"""A difference as lines of a table: what it is, before and after."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.records.models import Validation
from stillroom.services.standing import state_of
from stillroom.web.templatetags.words import (
    clock,
    days,
    figure,
    limit_words,
    middle_percent,
    percent,
    span_days,
    verdict,
)

__all__ = ["Pair", "conditions", "conflicts", "containers", "inputs", "outcomes", "state", "substances"]

_VERDICT, _LIMIT = gettext_lazy("Verdict"), gettext_lazy("Limit")
_LIFE, _LARGEST = gettext_lazy("Filter's life for it"), gettext_lazy("Largest container")


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


Lines = tuple[str, list[Pair]]
"""a substance's name, and what differs"""


def inputs(difference: Mapping[str, Any]) -> list[Pair]:
    """What was asked differently but for the containers, and what made the answer."""
    pairs = [
        Pair(_named(row), _value(row["before"], row["unit"]), _value(row["after"], row["unit"]))
        for row in difference["inputs"]
    ]
    pairs += [
        Pair(_made_by(row["what"]), _value(row["before"]), _value(row["after"]))
        for row in difference["versions"]
    ]
    if difference["other_inputs"]:
        pairs.append(
            Pair(_("Something else"), "–", _("for instance how often a container is opened; see the answers"))
        )
    return pairs


def _made_by(what: str) -> str:
    return _("Draws that the answer needed") if what == "draws" else _("Version: %s") % what


def _named(row: Mapping[str, Any]) -> str:
    titles = {
        "room": _("Room"), "cabinet": _("Cabinet"), "filters": _("Filters"), "limits": _("Exposure limits"),
        "rules": _("Rules of the site"), "draws": _("Draws"), "limits by hand": _("Limits of your own"),
    }  # fmt: skip
    names = {
        "name": _("Name"), "volume_m3": _("Volume"), "air_changes_per_h": _("Air changes an hour"),
        "temperature_C": _("Temperature"), "relative_humidity": _("Relative humidity"), "pressure_Pa": _("Air pressure"),
        "note": _("Note"), "backgrounds": _("Room's own air"), "flow_m3_h": _("Air flow"), "detector": _("Fixed detector"),
        "installed": _("Filters put in"), "shelves": _("Shelves"), "seal_bypass": _("Passes by the seals"),
        "ordering": _("What holds"), "seed": _("Seed"), "draws": _("Number"),
    }  # fmt: skip
    return f"{titles[row['part']]}: {names.get(row['what'], row['what'])}"


def _value(value: Any, unit: str = "") -> str:
    if value in (None, ""):
        return _("none")
    if isinstance(value, Mapping):
        return middle_percent(value)
    if unit == "-" and isinstance(value, float):
        return percent(value)
    if isinstance(value, list):
        return ", ".join(_value(part, unit) for part in value)
    text = f"{value:g}" if isinstance(value, int | float) else str(value)
    return f"{text} {unit}" if unit not in ("", "-", "1/h") else text


def containers(difference: Mapping[str, Any]) -> list[Pair]:
    """Containers that came, went or changed."""
    pairs = []
    for row in difference["containers"]:
        strength = "" if row["concentration"] in row["name"] else f" {row['concentration']}"
        name = row["name"] + strength
        sides = (row["before"], row["after"])
        sizes = [[(item["count"], item["amount"]) for item in side] for side in sides]
        kinds = [
            {tuple(value for key, value in item.items() if key not in ("count", "amount")) for item in side}
            for side in sides
        ]
        closures = sizes[0] == sizes[1] or (all(kinds) and kinds[0] != kinds[1])
        pairs.append(Pair(name, *(_sizes(side, closures) for side in sides)))
    return pairs


def _sizes(side: Sequence[Mapping[str, Any]], closures: bool) -> str:
    """Closures, openings and the like are said where the two sides differ in them, not where only sizes do."""
    if not side:
        return _("none")
    return "; ".join(
        f"{item['count']} × {item['amount']}" + (_kind(item) if closures else "") for item in side
    )


def _kind(item: Mapping[str, Any]) -> str:
    words = f", {item['closure']}, {item['state']}"
    if item.get("material"):
        words += f", {item['material']}"
    if "opened_per_week" in item:
        words += ", " + _("opened %s × a week") % f"{item['opened_per_week']:g}"
    return words


def outcomes(difference: Mapping[str, Any]) -> list[Pair]:
    """Verdict, life, clocks and index of both."""
    was, now = difference["life"]["before"], difference["life"]["after"]
    sides = difference["verdict"]
    pairs = [
        Pair(_("Verdict"), verdict(sides["before"]), verdict(sides["after"])),
        Pair(_("Replace the filter after"), _life(was), _life(now)),
        Pair(_("What governs"), was["governing_words"] or "–", now["governing_words"] or "–"),
    ]
    pairs += [
        Pair(clock(row["name"]), _clock(row["before"]), _clock(row["after"])) for row in difference["clocks"]
    ]
    titles = {
        "mixture_index": _("Mixture index, exhaust"),
        "room_mixture_index": _("Mixture index, room"),
    }
    pairs += [
        Pair(titles[row["name"]], middle_percent(row["before"]), middle_percent(row["after"]))
        for row in difference["indices"]
    ]
    return pairs + [
        Pair(row["name"], verdict(row["before"]), verdict(row["after"]))
        for row in difference["container_verdicts"]
    ]


def _life(life: Mapping[str, Any]) -> str:
    return _("no life stated") if life["days"] is None else days(life["days"])


def _clock(row: Mapping[str, Any] | None) -> str:
    if row is None:
        return _("none")
    who = f", {row['governing_name']}" if row["governing_name"] else ""
    return span_days(row["days"]) + who


def substances(difference: Mapping[str, Any]) -> tuple[list[Lines], list[Lines]]:
    """Each substance with the lines that differ: those whose verdict, limit, life or largest container does, what
    came or went first; and those of which other figures and reasons alone differ."""
    rows = sorted(difference["substances"], key=lambda row: bool(row["before"] and row["after"]))
    found = [(row["name"], _substance(row["before"], row["after"])) for row in rows]
    decides = {_VERDICT, _LIMIT, _LIFE, _LARGEST}
    weighs = [bool(decides & {pair.what for pair in pairs}) for _name, pairs in found]
    told = [lines for lines, does in zip(found, weighs, strict=True) if does]
    return told, [lines for lines, does in zip(found, weighs, strict=True) if lines[1] and not does]


def _substance(old: Mapping[str, Any] | None, new: Mapping[str, Any] | None) -> list[Pair]:
    if old is None or new is None:
        words = [_("not there") if row is None else verdict(row["verdict"]) for row in (old, new)]
        why = ["" if row is None else "\n".join(row["reasons"]) for row in (old, new)]
        return [Pair(_VERDICT, *words), Pair(_("Reasons"), *why, long=True)]
    rows = [
        (_VERDICT, lambda row: verdict(row["verdict"])),
        (_LIMIT, _limit),
        (_LIFE, lambda row: span_days(row["service_life_days"])),
        (_("Exhaust, part of the limit"), lambda row: middle_percent(row["exhaust_fraction_of_limit"])),
        (_("Room in a spill, part of the short-term limit"), _spill),
        (_LARGEST, _amount),
    ]
    pairs = [Pair(title, words(old), words(new)) for title, words in rows]
    gone, come = (
        [line for line in these if line not in those]
        for these, those in ((old["reasons"], new["reasons"]), (new["reasons"], old["reasons"]))
    )
    pairs.append(Pair(_("Reasons that differ"), "\n".join(gone), "\n".join(come), long=True))
    return [pair for pair in pairs if pair.changed]


def _limit(row: Mapping[str, Any]) -> str:
    limit = row["limit"]
    return f"{limit_words(limit)} ({limit['list_title']}, {limit['edition']})" if limit else limit_words(None)


def _spill(row: Mapping[str, Any]) -> str:
    spill = row["spill_fraction_of_short_limit"]
    return percent(spill["p95"]) if spill else "–"


def _amount(row: Mapping[str, Any]) -> str:
    if row["largest_amount"] is None:
        return row["largest_amount_words"] or _("not known")
    return f"{figure(row['largest_amount'])} {row['largest_amount_unit']}"


def conflicts(difference: Mapping[str, Any]) -> list[Pair]:
    """Neighbours that conflict now, did before, or otherwise."""
    rows = difference["conflicts"]
    pairs = [Pair(_pair(row), _("none"), _conflict(row)) for row in rows["appeared"]]
    pairs += [Pair(_pair(row), _conflict(row), _("none")) for row in rows["gone"]]
    return pairs + [
        Pair(_pair(row["after"]), _conflict(row["before"]), _conflict(row["after"]))
        for row in rows["changed"]
    ]


def _pair(row: Mapping[str, Any]) -> str:
    return " + ".join(row["names"])


def _conflict(row: Mapping[str, Any]) -> str:
    solved = _("kept apart by the plan") if row["solved"] else _("not kept apart")
    return f"{row['severity']}, {solved}. {row['consequence']}"


def conditions(difference: Mapping[str, Any]) -> list[Pair]:
    """Conditions that came or went."""
    rows = difference["conditions"]
    added = [Pair(words, _("not asked"), _("needed")) for words in rows["added"]]
    return added + [Pair(words, _("needed"), _("not asked")) for words in rows["removed"]]


def state(validation: Validation, today: datetime.date) -> str:
    """Whether a validation still holds, in words."""
    found = state_of(validation, today)
    return {
        "standing": _("standing"),
        "withdrawn": _("withdrawn"),
        "superseded": _("superseded by V%d") % found.by.number if found.by else "",
        "expired": _("past its date, %s") % found.since,
        "refused": _("no approval"),
    }[found.kind]
