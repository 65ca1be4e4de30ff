"""Text that people typed, made safe for print: what the typeface lacks is replaced visibly, never dropped."""

from __future__ import annotations

import re
import struct
import unicodedata
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import resources
from typing import Any

__all__ = ["REPLACEMENT", "breakable", "clean", "printable", "shorten", "together"]

REPLACEMENT = "□"
"""printed for each character that the typeface does not have"""
FONT = "SourceSans3-Regular.ttf"
PER_CENT = re.compile(r"(?<=\d) %")
LONG_RUN = re.compile(r"[^\s\u200b-]{21,}")


@cache
def _coverage() -> frozenset[int]:
    """Code points that the shipped typeface has: its `cmap` table, format 4 or 12 (OpenType specification)."""
    font = (resources.files("stillroom.documents") / "fonts" / FONT).read_bytes()
    (tables,) = struct.unpack_from(">H", font, 4)
    records = (struct.unpack_from(">4sLLL", font, 12 + 16 * index) for index in range(tables))
    start = next(offset for tag, _, offset, _ in records if tag == b"cmap")
    (count,) = struct.unpack_from(">H", font, start + 2)
    found: set[int] = set()
    for index in range(count):
        _, _, offset = struct.unpack_from(">HHL", font, start + 4 + 8 * index)
        found |= _subtable(font, start + offset)
    return frozenset(found)


def _subtable(font: bytes, at: int) -> set[int]:
    (kind,) = struct.unpack_from(">H", font, at)
    if kind == 12:
        (groups,) = struct.unpack_from(">L", font, at + 12)
        spans = [struct.unpack_from(">LL", font, at + 16 + 12 * index) for index in range(groups)]
    elif kind == 4:
        segments = struct.unpack_from(">H", font, at + 6)[0] // 2
        ends = struct.unpack_from(f">{segments}H", font, at + 14)
        starts = struct.unpack_from(f">{segments}H", font, at + 16 + 2 * segments)
        spans = [span for span in zip(starts, ends, strict=True) if span[0] != 0xFFFF]
    else:
        return set()
    return {point for first, last in spans for point in range(first, last + 1)}


def clean(text: str) -> str:
    """`text` in one line, composed, without control or direction marks; □ for what the typeface lacks.

    Direction marks go because they could turn a printed amount round; line breaks become spaces.

    Examples
    --------
    >>> clean("2-甲基 toluene\\n98 %")
    '2-□□ toluene 98 %'
    """
    composed = unicodedata.normalize("NFC", text)
    spaced = "".join(" " if character in "\n\r\t\v\f\u2028\u2029" else character for character in composed)
    kept = (c for c in spaced if unicodedata.category(c) not in ("Cc", "Cf", "Cs"))
    have = _coverage()
    return "".join(character if ord(character) in have else REPLACEMENT for character in kept).strip()


def breakable(text: str, run: int = 14) -> str:
    """`text` with places to break a line inside runs of more than 20 characters without one."""
    return LONG_RUN.sub(
        lambda match: "\u200b".join(match[0][at : at + run] for at in range(0, len(match[0]), run)), text
    )


def shorten(text: str, length: int) -> str:
    """`text`, or its beginning and “…” where it is longer than `length` characters."""
    return text if len(text) <= length else text[: length - 1].rstrip() + "…"


def printable(value: Any) -> Any:
    """`value` (a parsed JSON) with every string in it cleaned and breakable; numbers and None stay."""
    if isinstance(value, str):
        return breakable(PER_CENT.sub("\u00a0%", clean(value)))
    if isinstance(value, Mapping):
        return {key: printable(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [printable(item) for item in value]
    return value


def together(sentences: Sequence[str], names: Sequence[str]) -> list[str]:
    """Sentences “name: rest” with an equal rest as one sentence; the others stay, in order.

    Examples
    --------
    >>> together(["ether: test it.", "dioxane: test it.", "Keep the fan on."], ["ether", "dioxane"])
    ['ether, dioxane: test it.', 'Keep the fan on.']
    """
    groups: dict[str, list[str]] = {}
    for sentence in sentences:
        head, mark, rest = sentence.partition(": ")
        named = bool(mark) and head in names
        groups.setdefault(rest if named else sentence, []).append(head if named else "")
    return [f"{', '.join(heads)}: {rest}" if any(heads) else rest for rest, heads in groups.items()]
