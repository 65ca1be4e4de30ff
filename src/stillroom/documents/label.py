"""The door label: read at 1.5 m by someone with a bottle in the hand. Own layout, black and white."""

from __future__ import annotations

import re
from typing import Any, Literal

from stillroom.assessment.record import Record
from stillroom.documents.anchor import anchor, signed_by
from stillroom.documents.figures import day, days
from stillroom.documents.press import press
from stillroom.documents.text import printable, shorten, together
from stillroom.documents.words import Words, words_of
from stillroom.errors import StillroomError

__all__ = ["MODULE_MM", "QUIET_MODULES", "label_pdf", "label_url", "why"]

MODULE_MM = {"A5": 1.0, "A6": 1.0}
"""side of one module of the QR code [mm]; 1.0 is the least that is read at arm's length"""
QUIET_MODULES = 4
"""white modules on each side of the code (ISO/IEC 18004, as quoted by others)"""
LARGEST_MM = {"A5": 56.0, "A6": 46.0}
"""room for the code with its quiet zone [mm]; a longer address does not shrink it but is refused"""
SENTENCE = re.compile(r"(?<=[.!?])\s")
APPROVED = ("approved", "approved with conditions")


def label_url(url: str) -> str:
    """The address as the code carries it: scheme and host in capitals, which they do not mind and the code likes.

    Examples
    --------
    >>> label_url("https://example.org/L/7C3F")
    'HTTPS://EXAMPLE.ORG/L/7C3F'
    """
    scheme, mark, rest = url.strip().partition("://")
    if not mark:
        return url.strip()
    host, slash, path = rest.partition("/")
    return f"{scheme.upper()}://{host.upper()}{slash}{path}"


def _code(content: str, size: str) -> tuple[str, float]:
    """The QR code as SVG path on white with its quiet zone, and its side [mm].

    Error correction level H (30 % of the code words), or Q (25 %) where H takes more room than there is: a patch of
    15 % of the square that misses the three corner marks hides up to 26 % of the code words of a small code.
    """
    import segno

    for level in ("h", "q"):
        rows = [list(row) for row in segno.make(content, error=level, boost_error=False, micro=False).matrix]
        modules = len(rows) + 2 * QUIET_MODULES
        side = modules * MODULE_MM[size]
        if side <= LARGEST_MM[size]:
            break
    else:
        raise StillroomError(
            f"The label's address is too long for a code that can be read on {size} "
            f"({len(content)} characters, {side:.0f} mm). Give a shorter one, such as HTTPS://HOST/L/NUMBER."
        )
    dark = "".join(
        f"M{x + QUIET_MODULES} {y + QUIET_MODULES}h1v1h-1z"
        for y, row in enumerate(rows)
        for x, module in enumerate(row)
        if module
    )
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {modules} {modules}">'
        f'<rect width="{modules}" height="{modules}" fill="#fff"/><path d="{dark}" fill="#000"/></svg>'
    )
    return svg, side


def label_pdf(
    record: Record, *, size: Literal["A5", "A6"] = "A5", url: str = "", language: str = "en"
) -> bytes:
    """The door label as PDF (PDF/A-2a and PDF/UA-1).

    Parameters
    ----------
    record : Record
        a parsed ``record.json``; anything but an approval makes a label that forbids
    size : {"A5", "A6"}
        of the paper, upright
    url : str
        where the record is found; empty: the code carries the validation's number
    language : str
        of the words

    Returns
    -------
    bytes
        one page, and a second with the full list where the first cannot hold it. Signal word at least 40 pt, lines
        that must be read from afar at least 24 pt

    Raises
    ------
    StillroomError
        The address is so long that the code would not fit with modules of 1 mm.
    """
    words = words_of(language)
    content = label_url(url) or record["number"]
    view = printable(_view(record, words, size))
    view["words"] = dict(words)
    view["size"] = size.lower()
    view["qr"], view["qr_mm"] = _code(content, size)
    view["qr_quiet_mm"] = QUIET_MODULES * MODULE_MM[size]
    view["link"] = label_url(url)
    view["qr_alt"] = words["code alt"].format(content=content)
    return press("label.typ", view, date=record["date"])


def _view(record: Record, words: Words, size: str) -> dict[str, Any]:
    approved = record["verdict"] in APPROVED
    names = [item["name"] for item in record["substances"]]
    standing_at = (record["signature"] or {}).get("cabinet", "")
    return {
        "date": [int(part) for part in record["date"].split("-")],
        "number": anchor(record["signature"], words) or record["number"],
        "title": shorten(standing_at or record["title"], 58 if size == "A5" else 42),
        "invented": record["invented"],
        "approved": approved,
        "signed": signed_by(record["signature"], words),
        "must": _must(record, words) if approved else [_refusal(record, words), words["keep out"]],
        "inside": _inside(record) if approved else [],
        "conditions": together(record["conditions"], names) if approved else [],
        "why": [] if approved else why(record),
        "facts": _facts(record, words) if approved else [],
    }


def _refusal(record: Record, words: Words) -> str:
    return words["unsure line" if record["verdict"] == "cannot tell" else "refused line"]


def _must(record: Record, words: Words) -> list[list[str] | str]:
    """Lines to be read from 1.5 m: pairs of word and date, and the sentence that matters most."""
    ends = record["life_ends"] if record["label_life_days"] is not None else ""
    return [
        [words["filter until"], day(ends, words, short=True) or words["not given"]],
        [words["visit by"], day(record["visit"]["next_visit"], words, short=True) or words["not given"]],
        words["ask"],
    ]


def _inside(record: Record) -> list[list[str]]:
    """Name and largest amount of each substance that may be inside, as it was assessed; by name."""
    allowed = [item for item in record["substances"] if item["verdict"] in APPROVED]
    rows = [[shorten(item["name"], 44), item["containers"]] for item in allowed]
    return sorted(rows, key=lambda row: row[0].casefold())


def why(record: Record) -> list[str]:
    """The decision's sentences, then the first sentence about each substance that is refused."""
    refused = [
        f"{item['name']}: {SENTENCE.split(reason)[0]}"
        for item in record["substances"]
        if item["verdict"] not in APPROVED
        for reason in item["reasons"][:1]
    ]
    return [shorten(text, 200) for text in [*record["verdict_words"], *refused]]


def _facts(record: Record, words: Words) -> list[list[str]]:
    life, ends = record["label_life_days"], day(record["life_ends"], words)
    known = life is not None and ends
    return [
        [
            words["expected life"],
            words["expected life value"].format(days=days(life or 0.0), date=ends)
            if known
            else words["life unknown"],
        ],
        [words["noticed"], shorten(str(record["cabinet"].get("detector") or words["no detector"]), 120)],
        [words["validity"], day(record["valid_until"], words) or words["not given"]],
    ]
