"""A database of one's own for each test, on a SQLite file and, where there is a server, on PostgreSQL."""

from __future__ import annotations

import os
import secrets
from urllib.parse import urlsplit, urlunsplit

import pytest

from reliability.child import Place

SERVER = os.environ.get("STILLROOM_TEST_DATABASE_URL", "")


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request, tmp_path):
    """Where children work: a data directory, a database with its tables, one organisation and one person."""
    if request.param == "sqlite":
        yield Place(tmp_path, "").made()
        return
    if not SERVER:
        pytest.skip("STILLROOM_TEST_DATABASE_URL names no PostgreSQL server")
    import psycopg

    name = f"stillroom_{secrets.token_hex(4)}"
    with psycopg.connect(SERVER, autocommit=True) as server:
        server.execute(f"CREATE DATABASE {name}")
    try:
        yield Place(tmp_path, urlunsplit(urlsplit(SERVER)._replace(path=f"/{name}"))).made()
    finally:
        with psycopg.connect(SERVER, autocommit=True) as server:
            server.execute(f"DROP DATABASE {name} WITH (FORCE)")
