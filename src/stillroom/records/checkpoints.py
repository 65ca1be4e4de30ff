"""Signed checkpoints of a log: its size, Merkle root and head at one time; each also as a file outside the database.

One is made with a log's first event, with the first of each day (UTC), and when 1000
events have come since the last.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from pathlib import Path

from django.db import transaction

from stillroom.records import merkle
from stillroom.records.keys import directory, own_key
from stillroom.records.models import Checkpoint, Event
from stillroom.records.notes import EVERY, Note, parse, signed, text

__all__ = ["copies", "folders", "keep_copies", "make_when_due", "sweep"]


def make_when_due(log: str, seq: int, at: str) -> None:
    """A checkpoint of the log's `seq` events [-] where one is due; called in the transaction that wrote them."""
    last = Checkpoint.objects.filter(log=log).order_by("-size").first()
    if last and seq - last.size < EVERY and last.at[:10] == at[:10]:
        return
    peaks = [bytes.fromhex(peak) for peak in last.peaks.split()] if last else []
    since = last.size if last else 0
    hashes = Event.objects.filter(log=log, seq__gt=since).order_by("seq").values_list("hash", flat=True)
    size, head = since, last.head if last else ""
    for head in hashes.iterator():
        size = merkle.grow(peaks, size, [bytes.fromhex(head)])
    note = signed(log, size, merkle.root(peaks), head, at, own_key())
    Checkpoint(**note._asdict(), peaks=" ".join(peak.hex() for peak in peaks)).save(force_insert=True)
    transaction.on_commit(lambda: keep_copies(log), robust=True)


def folders() -> list[Path]:
    """Where copies are kept: in the data directory, and in $STILLROOM_CHECKPOINTS."""
    elsewhere = os.environ.get("STILLROOM_CHECKPOINTS", "")
    return [directory() / "checkpoints", *([Path(elsewhere)] if elsewhere else [])]


def keep_copies(log: str) -> None:
    """Write each checkpoint of the log that has no file yet."""
    notes = [Note(*row) for row in Checkpoint.objects.filter(log=log).values_list(*Note._fields)]
    for folder in folders():
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        there = {file.name for file in folder.iterdir()}
        for note in notes:
            name = f"{note.log}-{note.size:09}.txt"
            if name not in there:
                part = folder / f".{name}.{os.getpid()}"
                with part.open("w", encoding="utf-8", newline="\n") as out:
                    out.write(text(note))
                    out.flush()
                    os.fsync(out.fileno())
                part.replace(folder / name)


def sweep() -> None:
    """Remove copies that were half written when a process was killed; the next write makes them whole."""
    for folder in folders():
        for part in folder.glob(".*.txt.*"):
            if time.time() - part.stat().st_mtime > 600:
                part.unlink(missing_ok=True)


def copies() -> Iterator[tuple[Path, Note]]:
    """Every copy that is there."""
    for folder in folders():
        for file in sorted(folder.glob("[!.]*.txt")):
            yield file, parse(file.read_text("utf-8"), file=str(file))
