"""Where a number comes from: `Source`, `Sourced`, `Missing`, `Origin`, and the one bibliography.

The bibliography is the union of the TOML files in ``sources/data``; a key stands in one of them only.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib import resources

from stillroom.errors import StillroomError

__all__ = ["Missing", "Origin", "Source", "Sourced", "bibliography", "cite"]


class Origin(StrEnum):
    """How a value came to be known."""

    MEASURED = "measured"
    REGULATORY = "regulatory"
    COMPUTED = "computed"
    ESTIMATED = "estimated"
    FROM_MEMORY = "from memory"
    COMMON_PRACTICE = "common practice"
    USER = "given by the user"


@dataclass(frozen=True, slots=True)
class Source:
    """One entry of the bibliography."""

    key: str
    title: str
    author: str = ""
    year: str = ""
    edition: str = ""
    rights: str = ""
    note: str = ""

    def __str__(self) -> str:
        parts = [part for part in (self.author, self.title, self.edition, self.year) if part]
        return ", ".join(parts)


@dataclass(frozen=True, slots=True)
class Sourced:
    """A value with its unit, source (a key of the bibliography), locator and origin."""

    value: float
    unit: str
    source: str
    origin: Origin
    locator: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Missing:
    """A value that is not known, and why. It is false, so ``if value:`` reads as “is it known?”."""

    reason: str

    def __bool__(self) -> bool:
        return False


@cache
def bibliography() -> dict[str, Source]:
    """Every source, by key.

    Raises
    ------
    StillroomError
        A key stands in two files.
    """
    entries: dict[str, Source] = {}
    folder = resources.files("stillroom.sources") / "data"
    for file in sorted(folder.iterdir(), key=lambda item: item.name):
        if not file.name.endswith(".toml"):
            continue
        for key, fields in tomllib.loads(file.read_text("utf-8")).items():
            if key in entries:
                raise StillroomError(f"bibliography: the key {key!r} stands twice ({file.name}). Rename one.")
            entries[key] = Source(key=key, **{name: str(value) for name, value in fields.items()})
    return entries


def cite(key: str) -> Source:
    """The bibliography's entry for `key`.

    Raises
    ------
    StillroomError
        There is no such key; add it to a file in ``sources/data``.
    """
    try:
        return bibliography()[key]
    except KeyError:
        raise StillroomError(f"no source {key!r} in the bibliography. Add it to sources/data.") from None
