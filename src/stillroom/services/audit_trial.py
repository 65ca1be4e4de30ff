"""Does the check of the trail find what it should, and how quick is it? On copies; the database itself is only read."""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

from stillroom.records import merkle
from stillroom.records.canonical import canonical
from stillroom.records.chain import ALGORITHM, FIELDS, INSTALLATION, Entry, genesis, hash_of
from stillroom.records.keys import Key
from stillroom.records.notes import EVERY, Note, signed
from stillroom.services.audit import Finding, Report, States, Stored, check

__all__ = ["ATTACKS", "Trial", "bench", "selftest"]


class Trial(NamedTuple):
    """One attack on a copy, and what the check said to it; found where it said something."""

    name: str
    findings: list[Finding]


class _File:
    """Events and checkpoints in a SQLite file of two plain tables."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def make(self, events: Iterable[Entry], notes: Iterable[Note]) -> None:
        with closing(sqlite3.connect(self.path)) as db, db:
            db.execute(f"CREATE TABLE event (id INTEGER PRIMARY KEY, {', '.join(FIELDS)})")
            db.execute(f"CREATE TABLE checkpoint ({', '.join(Note._fields)})")
            db.executemany(f"INSERT INTO event VALUES (NULL{', ?' * len(FIELDS)})", events)
            db.executemany(f"INSERT INTO checkpoint VALUES ({', '.join('?' * len(Note._fields))})", notes)

    def events(self) -> Iterator[Entry]:
        with closing(sqlite3.connect(self.path)) as db:
            yield from map(
                Entry._make, db.execute(f"SELECT {', '.join(FIELDS)} FROM event ORDER BY log, seq, id")
            )

    def checkpoints(self) -> Iterator[Note]:
        with closing(sqlite3.connect(self.path)) as db:
            yield from map(Note._make, db.execute("SELECT * FROM checkpoint ORDER BY log, size").fetchall())


# -- what someone with full rights on the database could do, but without the key and the checkpoints outside --


def _edit(db: sqlite3.Connection, log: str, size: int, other: str) -> None:
    """One value of one old event is another."""
    db.execute("UPDATE event SET body = body || ' ' WHERE log = ? AND seq = ?", (log, size // 2))


def _delete(db: sqlite3.Connection, log: str, size: int, other: str) -> None:
    """One event is gone."""
    db.execute("DELETE FROM event WHERE log = ? AND seq = ?", (log, size // 2))


def _reorder(db: sqlite3.Connection, log: str, size: int, other: str) -> None:
    """Two events change places."""
    first, second = size // 2, size // 2 + 1
    for old, new in ((first, -1), (second, first), (-1, second)):
        db.execute("UPDATE event SET seq = ? WHERE log = ? AND seq = ?", (new, log, old))


def _cut(db: sqlite3.Connection, log: str, size: int, other: str) -> None:
    """The last third is gone, with the checkpoints over it; what is left is a whole chain."""
    db.execute("DELETE FROM event WHERE log = ? AND seq > ?", (log, size - size // 3))
    db.execute("DELETE FROM checkpoint WHERE log = ? AND size > ?", (log, size - size // 3))


def _rewrite(db: sqlite3.Connection, log: str, size: int, other: str) -> None:
    """An early event is another, and every later one is hashed anew: a whole chain again, without checkpoints."""
    last = genesis(log)
    rows = db.execute(f"SELECT id, {', '.join(FIELDS)} FROM event WHERE log = ? ORDER BY seq", (log,))
    for number, *fields in rows.fetchall():
        entry = Entry(*fields)._replace(prev=last)
        if entry.seq == 2:
            entry = entry._replace(body=canonical({"new": {"verdict": "approved"}, "old": None}))
        last = hash_of(entry)
        db.execute(
            "UPDATE event SET prev = ?, body = ?, hash = ? WHERE id = ?",
            (entry.prev, entry.body, last, number),
        )
    db.execute("DELETE FROM checkpoint WHERE log = ?", (log,))


def _swap(db: sqlite3.Connection, log: str, size: int, other: str) -> None:
    """Two organisations' logs change names."""
    for table in ("event", "checkpoint"):
        for old, new in ((log, "-"), (other, log), ("-", other)):
            db.execute(f"UPDATE {table} SET log = ? WHERE log = ?", (new, old))


ATTACKS: Mapping[str, Callable[[sqlite3.Connection, str, int, str], None]] = {
    "edit": _edit,
    "delete": _delete,
    "reorder": _reorder,
    "truncate the tail": _cut,
    "full rewrite": _rewrite,
    "swap organisations' logs": _swap,
}


def selftest(stored: Stored, *, keys: Mapping[str, bytes], key: Key) -> tuple[Report, list[Trial]]:
    """Attack a copy in each way, against a checkpoint of every log signed just before.

    The copy holds the installation's own logs; where fewer than two of them have twelve events, invented ones
    stand beside them. The longest is attacked.

    Returns
    -------
    Report
        Of the copy before the attacks; where it is not whole the attacks prove nothing and are not made.
    list of Trial
    """
    with tempfile.TemporaryDirectory(prefix="stillroom-selftest-") as folder:
        copy = _File(Path(folder, "copy.sqlite3"))
        events, notes = list(stored.events()), list(stored.checkpoints())
        sizes: dict[str, int] = {}
        for entry in events:
            sizes[entry.log] = sizes.get(entry.log, 0) + 1
        targets = sorted(
            (log for log in sizes if log != INSTALLATION and sizes[log] >= 12), key=sizes.__getitem__
        )
        invented = ["selftest-1", "selftest-2"][len(targets) :]
        for log in invented:
            events += _invented(log, 24)
            sizes[log] = 24
        events += _opening(events, invented)
        targets = [*invented, *targets]
        copy.make(sorted(events, key=lambda entry: entry.log), notes)
        before = check(copy, keys=keys)
        if not before.whole:
            return before, []
        at = events[-1].at
        kept = [signed(log.name, log.size, bytes.fromhex(log.root), log.head, at, key) for log in before.logs]
        trials = []
        for name, attack in ATTACKS.items():
            victim = _File(Path(folder, "attacked.sqlite3"))
            shutil.copyfile(copy.path, victim.path)
            with closing(sqlite3.connect(victim.path)) as db, db:
                attack(db, targets[-1], sizes[targets[-1]], targets[-2])
            found = check(victim, keys={**keys, key.id: key.public}, kept=kept).findings
            trials.append(Trial(name, found))
        return before, trials


def bench(count: int) -> tuple[Report, float]:
    """Seconds that it takes to check a log of `count` invented events [-] with their checkpoints, read from a file."""
    key = Key.new()
    with tempfile.TemporaryDirectory(prefix="stillroom-bench-") as folder:
        file = _File(Path(folder, "bench.sqlite3"))
        events = list(_invented("bench", count))
        peaks: list[bytes] = []
        notes, size = [], 0
        for start in range(0, count, EVERY):
            part = events[start : start + EVERY]
            size = merkle.grow(peaks, size, (bytes.fromhex(entry.hash) for entry in part))
            notes.append(signed("bench", size, merkle.root(peaks), part[-1].hash, part[-1].at, key))
        opening = _opening(events, ["bench"])
        file.make([*events, *opening], notes)
        began = time.perf_counter()
        report = check(file, keys={key.id: key.public}, each=States().take)
        return report, time.perf_counter() - began


def _chained(log: str, said: Iterable[tuple[str, str, str]], before: Entry | None = None) -> Iterator[Entry]:
    last, start = (before.hash, before.seq + 1) if before else (genesis(log), 1)
    at = "2026-01-01T00:00:00.000000Z"
    for seq, (action, subject, body) in enumerate(said, start):
        entry = Entry(log, seq, last, at, "selftest", action, subject, "invented", body, ALGORITHM, "")
        last = hash_of(entry)
        yield entry._replace(hash=last)


def _invented(log: str, count: int) -> Iterator[Entry]:
    """A log of invented events, about as long as real ones."""
    said = (
        (
            "assessment.changed",
            f"assessment:{number % 500}",
            canonical(
                {"new": {"title": f"Cabinet {number}", "note": "x" * 300}, "old": {"title": f"{number - 1}"}}
            ),
        )
        for number in range(count)
    )
    return _chained(log, said)


def _opening(events: list[Entry], logs: list[str]) -> list[Entry]:
    """Entries of the installation's log that know these logs."""
    own = [entry for entry in events if entry.log == INSTALLATION]
    first = {entry.log: entry.hash for entry in events if entry.seq == 1}
    said = [
        ("log.opened", f"log:{log}", canonical({"new": {"first": first[log], "log": log}, "old": None}))
        for log in logs
    ]
    return list(_chained(INSTALLATION, said, own[-1] if own else None))
