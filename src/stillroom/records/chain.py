"""The chain of events of one log: each entry's hash covers everything in it, and the hash before it. No database."""

from __future__ import annotations

import json
from typing import NamedTuple

from stillroom.records.canonical import sha256

__all__ = ["ALGORITHM", "FIELDS", "INSTALLATION", "Entry", "envelope", "genesis", "hash_of"]

ALGORITHM = "sha-256"
INSTALLATION = "installation"
"""The log of what belongs to no organisation: people, organisations, which logs there are."""


class Entry(NamedTuple):
    """One event as it is stored; `body` is the canonical text of the old and new values."""

    log: str
    seq: int
    prev: str
    at: str
    actor: str
    action: str
    subject: str
    reason: str
    body: str
    alg: str
    hash: str


FIELDS = Entry._fields


def genesis(log: str) -> str:
    """What stands before the first entry of a log: 64 zeros and the log's name, hashed."""
    return sha256("0" * 64 + log)


def envelope(entry: Entry) -> str:
    """What the hash covers: every field but the hash itself, as canonical JSON.

    Notes
    -----
    Every value is text or a small whole number and every name ASCII; for those the standard encoder gives the
    same bytes as RFC 8785, and is quick enough for hundreds of thousands of entries.
    """
    covered = entry._asdict()
    del covered["hash"]
    return json.dumps(covered, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def hash_of(entry: Entry) -> str:
    """The hash that belongs to this entry."""
    return sha256(envelope(entry))
