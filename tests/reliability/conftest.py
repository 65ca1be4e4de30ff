"""A database of one's own for each test, on a SQLite file and, where there is a server, on PostgreSQL."""

from __future__ import annotations

import os
import secrets
import shutil
from urllib.parse import urlsplit, urlunsplit

import pytest

from reliability.child import Place

SERVER = os.environ.get("STILLROOM_TEST_DATABASE_URL", "")


@pytest.fixture(scope="session")
def made(tmp_path_factory):
    """A place with its tables on each engine, made when it is first asked for, to be copied."""
    there: dict[str, Place] = {}

    def of(engine: str) -> Place:
        if engine not in there:
            url = database() if engine == "postgresql" else ""
            there[engine] = Place(tmp_path_factory.mktemp(engine), url).made()
        return there[engine]

    yield of
    if "postgresql" in there:
        drop(there["postgresql"].url)


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request, tmp_path, made):
    """Where children work: a data directory, a database with its tables, one organisation and one person."""
    if request.param == "postgresql" and not SERVER:
        pytest.skip("STILLROOM_TEST_DATABASE_URL names no PostgreSQL server")
    whole = made(request.param)
    shutil.copytree(whole.data, tmp_path / "data")
    url = database(like=whole.url) if whole.url else ""
    yield Place(tmp_path / "data", url)
    if url:
        drop(url)


def database(*, like: str = "") -> str:
    """The address of a new one, empty or a copy."""
    import psycopg

    name = f"stillroom_{secrets.token_hex(4)}"
    template = f" TEMPLATE {urlsplit(like).path[1:]}" if like else ""
    with psycopg.connect(SERVER, autocommit=True) as server:
        server.execute(f"CREATE DATABASE {name}{template}")
    return urlunsplit(urlsplit(SERVER)._replace(path=f"/{name}"))


def drop(url: str) -> None:
    import psycopg

    with psycopg.connect(SERVER, autocommit=True) as server:
        server.execute(f"DROP DATABASE {urlsplit(url).path[1:]} WITH (FORCE)")
