"""Is the database set up as it must be? Each answer names what was found, what is wanted, and the mend."""

from __future__ import annotations

import os
import stat
import sys
from pathlib import Path
from typing import Any, NamedTuple

from django.db.backends.base.base import BaseDatabaseWrapper

from stillroom.records import guards
from stillroom.records.database import wal_is_safe

__all__ = ["Answer", "examine", "file_system_of", "is_network", "waiting_migrations"]

_NETWORK = (
    "9p",
    "afs",
    "ceph",
    "cifs",
    "davfs",
    "fuse.",
    "gfs",
    "glusterfs",
    "lustre",
    "ncpfs",
    "nfs",
    "ocfs",
    "smb",
)


class Answer(NamedTuple):
    """One thing looked at. `right` is None where it cannot be told."""

    what: str
    found: str
    right: bool | None
    mend: str = ""


def examine(connection: BaseDatabaseWrapper) -> list[Answer]:
    """Everything that must hold of the connection and of what it leads to."""
    connection.ensure_connection()
    own = _sqlite(connection) if connection.vendor == "sqlite" else _postgresql(connection)
    return [*own, _migrations(connection), _guards(connection), *_key()]


def _sqlite(connection: BaseDatabaseWrapper) -> list[Answer]:
    from django.db.backends.sqlite3.base import Database

    release = Database.sqlite_version_info
    journal = _ask(connection, "PRAGMA journal_mode")
    wal = journal == "wal"
    synchronous = _ask(connection, "PRAGMA synchronous")
    path = Path(connection.settings_dict["NAME"])
    timeout, keys = _ask(connection, "PRAGMA busy_timeout"), _ask(connection, "PRAGMA foreign_keys")
    recursive, mapped = _ask(connection, "PRAGMA recursive_triggers"), _ask(connection, "PRAGMA mmap_size")
    mode = connection.transaction_mode
    settings = "Start it with Stillroom's own settings."
    return [
        Answer("SQLite", ".".join(map(str, release)), True),
        Answer(
            "journal", journal, journal == "delete" or (wal and wal_is_safe(release)),
            "This release can lose data in its write-ahead log: use 3.51.3 or later, or the rollback journal.",
        ),
        Answer("synchronous", f"{synchronous}, wanted {2 if wal else 3}", synchronous >= (2 if wal else 3), settings),
        Answer("busy_timeout", f"{timeout} ms, wanted 20000 or more", timeout >= 20000, settings),
        Answer("foreign_keys", str(keys), keys == 1, settings),
        Answer("recursive_triggers", str(recursive), recursive == 1, settings),
        Answer("mmap_size", str(mapped or 0), not mapped, settings),
        Answer("transactions", mode or "DEFERRED", mode == "IMMEDIATE", settings),
        _disk(path),
        Answer(
            "one name", f"{path.stat().st_nlink} name(s)", path.stat().st_nlink == 1 and not path.is_symlink(),
            "A database reached by a second name can lose its journal: remove the link.",
        ),
        _found("integrity", _rows(connection, "PRAGMA quick_check"), [("ok",)]),
        _found("foreign keys kept", _rows(connection, "PRAGMA foreign_key_check"), []),
    ]  # fmt: skip


def _postgresql(connection: BaseDatabaseWrapper) -> list[Answer]:
    def setting(name: str, wanted: str, mend: str) -> Answer:
        found = _ask(connection, f"SHOW {name}")
        return Answer(name, f"{found}, wanted {wanted}", found == wanted, mend)

    lossy = "The server can lose what it has confirmed: switch it on in postgresql.conf."
    return [
        Answer("PostgreSQL", _ask(connection, "SHOW server_version"), True),
        setting("fsync", "on", lossy),
        setting("full_page_writes", "on", lossy),
        setting("synchronous_commit", "on", lossy),
        setting("session_replication_role", "origin", "Triggers are off for this role: reset it."),
    ]


def _ask(connection: BaseDatabaseWrapper, question: str) -> Any:
    rows = _rows(connection, question)
    return rows[0][0] if rows else None


def _rows(connection: BaseDatabaseWrapper, question: str) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(question)
        return cursor.fetchall()


def _found(what: str, found: list[tuple[Any, ...]], wanted: list[tuple[Any, ...]]) -> Answer:
    return Answer(
        what,
        "ok" if found == wanted else f"{len(found)} fault(s), first: {found[0]}",
        found == wanted,
        "Stop writing, keep a copy of the file, and restore the last backup.",
    )


def _disk(path: Path) -> Answer:
    kind = file_system_of(path)
    return Answer(
        "disk",
        kind or "unknown file system",
        not is_network(kind) if kind else None,
        "Locks of a network disk do not hold: move the data directory to a local disk, or use PostgreSQL.",
    )


def is_network(kind: str) -> bool:
    """Whether a file system of this kind is reached over a network (or as one)."""
    return kind.startswith(_NETWORK) or kind == "network"


def file_system_of(path: Path, mounts: Path = Path("/proc/self/mountinfo")) -> str:
    """The kind of file system that holds the path; empty where the system does not say."""
    if sys.platform == "win32":
        import ctypes

        return "network" if ctypes.windll.kernel32.GetDriveTypeW(path.resolve().anchor) == 4 else "local"
    if not mounts.is_file():
        return ""
    best, kind = "", ""
    for line in mounts.read_text("utf-8", "replace").splitlines():
        fields, _, rest = line.partition(" - ")
        point = fields.split()[4].encode().decode("unicode_escape")
        if Path(os.path.realpath(path)).is_relative_to(point) and len(point) >= len(best):
            best, kind = point, rest.split()[0]
    return kind


def waiting_migrations(connection: BaseDatabaseWrapper) -> int:
    """How many migrations are still to be made [-]."""
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    return len(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def _migrations(connection: BaseDatabaseWrapper) -> Answer:
    waiting = waiting_migrations(connection)
    return Answer(
        "tables",
        f"{waiting} migration(s) waiting" if waiting else "up to date",
        not waiting,
        "Start “stillroom serve” once: it brings the tables up to date.",
    )


def _guards(connection: BaseDatabaseWrapper) -> Answer:
    gone = guards.missing(connection)
    return Answer(
        "append-only triggers",
        f"missing: {', '.join(gone)}" if gone else "all there",
        not gone,
        "Find out who removed them, run “stillroom audit verify”, and start “stillroom serve” to put them back.",
    )


def _key() -> list[Answer]:
    from stillroom.records.keys import directory

    file = directory() / "trail-key"
    if sys.platform == "win32" or not file.is_file():
        return []
    mode = stat.S_IMODE(file.stat().st_mode)
    return [Answer("trail-key", f"mode {mode:04o}, wanted 0600", mode & 0o077 == 0, f"Run: chmod 600 {file}")]
