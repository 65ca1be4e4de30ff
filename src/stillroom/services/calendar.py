"""Write a calendar that other programs read: iCalendar (RFC 5545), all-day events, the same bytes each time."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable
from dataclasses import dataclass

__all__ = ["Event", "calendar"]

_OCTETS = 75
"""Longest content line without its line break [octets]: RFC 5545, section 3.1."""
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")


@dataclass(frozen=True, slots=True)
class Event:
    """Something on one or several whole days."""

    uid: str
    """stays the same while it is the same thing, also once its date moves"""
    first: datetime.date
    last: datetime.date
    """that day included"""
    summary: str
    description: str = ""
    location: str = ""
    url: str = ""
    category: str = ""


def calendar(events: Iterable[Event], *, stamp: datetime.datetime, name: str) -> bytes:
    """The calendar as a file, ``text/calendar`` in UTF-8.

    Parameters
    ----------
    events : iterable of Event
    stamp : datetime.datetime
        When it was made, with its time zone: DTSTAMP of every event. The clock is never asked.
    name : str
        What calendar programs call it.

    Notes
    -----
    Lines are folded at 75 octets between characters and end in CR LF; backslash, comma, semicolon and line breaks are
    escaped in texts (section 3.3.11). DTEND is the day after the last (section 3.6.1). METHOD is left out: it is published
    to be read, no one is invited. Events are transparent: nobody is busy all day for them.
    """
    at = stamp.astimezone(datetime.UTC).strftime("%Y%m%dT%H%M%SZ")
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Stillroom//Due//EN",
        "CALSCALE:GREGORIAN",
        f"X-WR-CALNAME:{_text(name)}",
        "REFRESH-INTERVAL;VALUE=DURATION:PT12H",
    ]
    for event in events:
        lines += _event(event, at)
    lines.append("END:VCALENDAR")
    return "".join(f"{_folded(line)}\r\n" for line in lines).encode()


def _event(event: Event, at: str) -> list[str]:
    end = event.last + datetime.timedelta(days=1)
    lines = [
        "BEGIN:VEVENT",
        f"UID:{_text(event.uid)}",
        f"DTSTAMP:{at}",
        f"DTSTART;VALUE=DATE:{event.first:%Y%m%d}",
        f"DTEND;VALUE=DATE:{end:%Y%m%d}",
        f"SUMMARY:{_text(event.summary)}",
    ]
    for property_name, words in (
        ("DESCRIPTION", event.description),
        ("LOCATION", event.location),
        ("CATEGORIES", event.category),
    ):
        if words:
            lines.append(f"{property_name}:{_text(words)}")
    if event.url:
        lines.append(f"URL:{_CONTROL.sub('', event.url)}")
    return [*lines, "TRANSP:TRANSPARENT", "END:VEVENT"]


def _text(words: str) -> str:
    """A value of the type TEXT; control characters, which it may not hold, are left out."""
    escaped = words.replace("\r\n", "\n").replace("\r", "\n").replace("\\", "\\\\")
    escaped = escaped.replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")
    return _CONTROL.sub("", escaped)


def _folded(line: str) -> str:
    """The content line in pieces of at most 75 octets, no character cut."""
    pieces, piece, room = [], "", _OCTETS
    for character in line:
        size = len(character.encode())
        if size > room:
            pieces.append(piece)
            piece, room = "", _OCTETS - 1  # the blank that begins the next line counts
        piece += character
        room -= size
    return "\r\n ".join([*pieces, piece])
