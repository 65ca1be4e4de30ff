"""Signed checkpoints of a log: its size, Merkle root and head at one time; each also as a file outside the database.

The file is a signed note after C2SP: origin, size and root in the first three lines, head and time in two more, an
empty line, and the signature. One is made with a log's first event, with the first of each day (UTC), and when 1000
events have come since the last.
"""

from __future__ import annotations

import base64
import os
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from django.db import transaction

from stillroom.errors import InputError, Problem
from stillroom.records import merkle
from stillroom.records.keys import NAME, Key, directory, own_key
from stillroom.records.models import Checkpoint, Event

__all__ = ["EVERY", "Note", "copies", "folders", "keep_copies", "make_when_due", "parse", "signed", "text"]

EVERY = 1000
"""Events from one checkpoint to the next, at most [-]."""


class Note(NamedTuple):
    """A checkpoint, wherever it was found."""

    log: str
    size: int
    root: str
    head: str
    at: str
    key_id: str
    signature: str

    @property
    def body(self) -> str:
        """What the signature covers."""
        root = base64.b64encode(bytes.fromhex(self.root)).decode()
        return f"{NAME}/{self.log}\n{self.size}\n{root}\nhead {self.head}\nat {self.at}\n"


def signed(log: str, size: int, root: bytes, head: str, at: str, key: Key) -> Note:
    """A checkpoint of `size` events [-], signed."""
    note = Note(log, size, root.hex(), head, at, key.id, "")
    return note._replace(signature=key.sign(note.body))


def text(note: Note) -> str:
    """The note as it stands in its file."""
    coded = base64.b64encode(bytes.fromhex(note.key_id + note.signature)).decode()
    return f"{note.body}\n— {NAME} {coded}\n"


def parse(content: str, *, file: str = "") -> Note:
    """A checkpoint from its file.

    Raises
    ------
    InputError
        It is not in that form.
    """
    try:
        origin, size, root, head, at, empty, signature, *rest = content.split("\n")
        coded = base64.b64decode(signature.removeprefix(f"— {NAME} "), validate=True)
        note = Note(
            origin.removeprefix(f"{NAME}/"),
            int(size),
            base64.b64decode(root, validate=True).hex(),
            head.removeprefix("head "),
            at.removeprefix("at "),
            coded[:4].hex(),
            coded[4:].hex(),
        )
    except ValueError:
        note = None
    if note is None or text(note) != content or empty or rest != [""]:
        raise InputError(
            Problem(
                "this is no checkpoint", "Give a file from the folder “checkpoints”, unchanged.", file=file
            )
        )
    return note


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


def copies() -> Iterator[tuple[Path, Note]]:
    """Every copy that is there."""
    for folder in folders():
        for file in sorted(folder.glob("[!.]*.txt")):
            yield file, parse(file.read_text("utf-8"), file=str(file))
