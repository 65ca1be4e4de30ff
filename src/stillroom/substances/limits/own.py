"""The user's own lists: one file each in a folder, read as it is now, so that a newer edition holds at once.

The folder is STILLROOM_LIMITS, else ``limits`` in the data directory. A file is read again only where its size or
time of change differs. One that cannot be read is no list; `broken` says why.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType

from stillroom.errors import InputError, Problem
from stillroom.substances.limits.model import Entry, LimitList
from stillroom.substances.limits.own_file import Row, parse

__all__ = ["Stored", "broken", "digest", "entries", "folder", "stored"]


@dataclass(frozen=True, slots=True)
class Stored:
    """A list of the user's own as its file has it."""

    list: LimitList
    rows: tuple[Row, ...]
    entries: Mapping[str, tuple[Entry, ...]]
    """by CAS number"""
    sha256: str


def folder() -> Path:
    """Where the lists lie; it need not exist."""
    named = os.environ.get("STILLROOM_LIMITS")
    if named:
        return Path(named).expanduser()
    return Path(os.environ.get("STILLROOM_DATA") or "~/.local/share/stillroom").expanduser() / "limits"


def stored() -> tuple[Stored, ...]:
    """Every list that can be used, by key."""
    return tuple(item for item in _all() if isinstance(item, Stored))


def broken() -> tuple[InputError, ...]:
    """What is wrong with the files that cannot be used."""
    return tuple(item for item in _all() if isinstance(item, InputError))


def entries(key: str) -> Mapping[str, tuple[Entry, ...]]:
    """The entries of an own list by CAS number."""
    return _named(key).entries


def digest(key: str) -> str:
    """First twelve digits of the SHA-256 of an own list's file."""
    return _named(key).sha256[:12]


def _named(key: str) -> Stored:
    for item in stored():
        if item.list.key == key:
            return item
    raise InputError(Problem("no such list of exposure limits", "Load it: stillroom limits load", found=key))


def _all() -> tuple[Stored | InputError, ...]:
    try:
        with os.scandir(folder()) as found:
            files = [(entry.path, entry.stat()) for entry in found if entry.name.endswith(".csv")]
    except OSError:
        return ()
    return tuple(_read(path, at.st_mtime_ns, at.st_size, at.st_ino) for path, at in sorted(files))


@lru_cache(maxsize=256)
def _read(path: str, changed_ns: int, size: int, inode: int) -> Stored | InputError:
    """The file, or what is wrong with it; what tells one state of a file from another is part of the question."""
    from stillroom.substances.limits.tables import shipped_keys

    file = Path(path)
    try:
        content = file.read_bytes()
        item, rows = parse(content, file=file.name)
    except OSError as error:
        return InputError(Problem(f"cannot be read ({error.strerror})", "Load the list again.", file=path))
    except InputError as error:
        return error
    if item.key != file.stem or item.key in shipped_keys():
        mend = "Load it under a key of its own: stillroom limits load."
        return InputError(Problem("its key is another's", mend, file=file.name, column="key", found=item.key))
    by_cas: dict[str, list[Entry]] = {}
    for row in rows:
        by_cas.setdefault(row.entry["cas"], []).append(row.entry)
    return Stored(
        item,
        rows,
        MappingProxyType({cas: tuple(found) for cas, found in by_cas.items()}),
        hashlib.sha256(content).hexdigest(),
    )
