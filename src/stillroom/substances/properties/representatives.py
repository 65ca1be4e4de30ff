"""Commercial mixtures of isomers or petroleum fractions: the pure substance that stands for them."""

from __future__ import annotations

import csv
from dataclasses import fields, replace
from functools import cache
from importlib import resources

from stillroom.sources import Origin, Sourced
from stillroom.substances.model import Properties

__all__ = ["representative", "standing_for"]


@cache
def _table() -> dict[str, tuple[str, str, str]]:
    file = resources.files("stillroom.substances") / "data" / "representatives.csv"
    rows = csv.DictReader(file.read_text("utf-8").splitlines())
    return {row["cas"]: (row["representative"], row["representative_name"], row["why"]) for row in rows}


def representative(cas: str) -> str:
    """CAS number of the pure substance that stands for a commercial mixture; empty where none does."""
    return _table().get(cas, ("", "", ""))[0]


def standing_for(cas: str, known: Properties) -> Properties:
    """`known`, the properties of the representative, as estimates for the mixture `cas`."""
    _, name, why = _table()[cas]
    changed: dict[str, Sourced] = {}
    for field in fields(known):
        value = getattr(known, field.name)
        if isinstance(value, Sourced):
            note = f"that of {name}, which stands for the mixture: {why}"
            changed[field.name] = replace(value, origin=Origin.ESTIMATED, note=note)
    return replace(known, cas=cas, **changed)  # type: ignore[arg-type]
