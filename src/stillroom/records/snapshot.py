"""One moment of the database to read from, while others write."""

from __future__ import annotations

import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from django.db import connection, connections, transaction

__all__ = ["snapshot"]


@contextmanager
def snapshot(folder: Path) -> Iterator[str]:
    """The name of a connection on which every query sees the same moment.

    Parameters
    ----------
    folder : Path
        Where a copy of a SQLite file may lie meanwhile; it is removed afterwards.

    Notes
    -----
    SQLite: its own online copy, in one step, which waits for writers and never holds them up while it is read.
    PostgreSQL: one transaction at REPEATABLE READ, read only.
    """
    if connection.vendor == "postgresql":
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield connection.alias
        return
    handle, name = tempfile.mkstemp(prefix=".snapshot-", suffix=".sqlite3", dir=folder)
    os.close(handle)
    alias = f"snapshot {Path(name).stem}"
    try:
        connection.ensure_connection()
        with closing(sqlite3.connect(name)) as copy:
            connection.connection.backup(copy)
        beside = connection.copy(alias)
        beside.settings_dict["NAME"] = name
        connections[alias] = beside  # this thread's alone
        try:
            yield alias
        finally:
            beside.close()
            del connections[alias]
    finally:
        for left in Path(name).parent.glob(f"{Path(name).name}*"):
            left.unlink()
