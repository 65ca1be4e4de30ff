"""A checkpoint as a signed note after C2SP: origin, size and root in the first three lines, head and time in two more.

Then an empty line and the signature. No database here.
"""

from __future__ import annotations

import base64
from typing import NamedTuple

from stillroom.errors import InputError, Problem
from stillroom.records.keys import NAME, Key

__all__ = ["EVERY", "Note", "parse", "signed", "text"]


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
