"""The shipped rules: classes that are kept apart, and what reactive groups do together. Lazy and cached."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from stillroom.segregation.model import SEVERITIES, Severity

__all__ = ["Rule", "dilute_below", "group_rules", "mend", "rules", "trace"]

_TOGETHER = "together"


@dataclass(frozen=True, slots=True)
class Rule:
    """Two classes (or ``cas:…``, or ``group:…``) that are kept apart; None where they may stand together."""

    first: str
    second: str
    severity: Severity | None
    dilute: Severity | None
    """severity where one of the two is dilute"""
    hazard: str
    consequence: str
    source: str
    locator: str
    overrules: bool = False
    """a source names the two as neighbours: no other rule parts them"""


def _text(name: str) -> str:
    return (resources.files(__package__) / "data" / name).read_text("utf-8")


@cache
def _sidecar(name: str) -> Mapping[str, Any]:
    return tomllib.loads(_text(f"{name}.toml"))


def _severity(text: str) -> Severity | None:
    if text in ("none", _TOGETHER):
        return None
    if text not in SEVERITIES:
        raise ValueError(f"not a severity: {text!r}")
    return text


@cache
def rules() -> tuple[Rule, ...]:
    """The class rules, in the order of the file."""
    return tuple(
        Rule(
            row["first"],
            row["second"],
            _severity(row["severity"]),
            _severity(row["dilute_severity"] or row["severity"]),
            row["hazard"],
            row["consequence"],
            row["source"],
            row["locator"],
            overrules=row["severity"] == _TOGETHER,
        )
        for row in csv.DictReader(_text("rules.csv").splitlines())
    )


@cache
def group_rules() -> tuple[Rule, ...]:
    """The pairs of reactive groups that two closed bottles are parted for."""
    sidecar = _sidecar("group_pairs")
    words = sidecar["words"]
    found = []
    for row in csv.DictReader(_text("group_pairs.csv").splitlines()):
        severity = _severity(row["severity"])
        if severity is None:
            continue
        hazard = " + ".join(words[code] for code in row["codes"].split("+"))
        where = f"{sidecar['locator']}, groups {row['first_group']} and {row['second_group']}"
        dilute: Severity | None = None if severity == "separate tray" else "separate tray"
        found.append(
            Rule(
                f"group:{row['first_group']}",
                f"group:{row['second_group']}",
                severity,
                dilute,
                hazard,
                f"{hazard}: {row['reason']}",
                str(sidecar["source"]),
                where,
            )
        )
    return tuple(found)


def dilute_below(storage_class: str) -> float:
    """Mass fraction under which a member of the class counts as dilute [-]."""
    table = _sidecar("rules")["dilute"]
    return float(table.get(storage_class, table["default"]))


def trace() -> float:
    """Mass fraction under which a component is left out [-]."""
    return float(_sidecar("rules")["trace"]["mass_fraction"])


def mend(severity: Severity) -> str:
    """What to do about a conflict of this severity."""
    return str(_sidecar("rules")["mend"][severity])
