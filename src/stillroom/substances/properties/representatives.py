"""Commercial mixtures of isomers or petroleum fractions: the pure substance that stands for them."""

from __future__ import annotations

from dataclasses import fields, replace

from stillroom.sources import Origin, Sourced
from stillroom.substances.model import Properties
from stillroom.substances.properties.tables import typed_rows

__all__ = ["representative", "standing_for"]


def representative(cas: str) -> str:
    """CAS number of the pure substance that stands for a commercial mixture; empty where none does."""
    entry = typed_rows("representatives").get(cas)
    return entry["representative"] if entry else ""


def standing_for(cas: str, known: Properties) -> Properties:
    """`known`, the properties of the representative, as estimates for the mixture `cas`."""
    entry = typed_rows("representatives")[cas]
    changed: dict[str, Sourced] = {}
    for field in fields(known):
        value = getattr(known, field.name)
        if isinstance(value, Sourced):
            note = f"that of {entry['representative_name']}, which stands for the mixture: {entry['why']}"
            changed[field.name] = replace(value, origin=Origin.ESTIMATED, note=note)
    return replace(known, cas=cas, **changed)  # type: ignore[arg-type]
