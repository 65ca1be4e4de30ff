"""What every test stands on: a data directory of its own, a test database that can be emptied, a trail that is whole."""

from __future__ import annotations

import fcntl
import os
import subprocess
import sys
from datetime import date, timedelta
from pathlib import Path

import pytest

os.environ["STILLROOM_LIMITS"] = os.devnull
"""Before anything is collected: the user's own lists of limits are none of the tests'."""


@pytest.fixture(scope="session")
def the_demo(tmp_path_factory) -> Path:
    """What `stillroom demo` leaves when it is called, with what it printed in printed.txt; once for all tests, to look at.

    Processes that share the tests share it too: who comes first makes it, the others wait.
    """
    own = tmp_path_factory.getbasetemp()
    out = (own.parent if "PYTEST_XDIST_WORKER" in os.environ else own) / "the-demo"
    with out.with_suffix(".lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not (out / "printed.txt").exists():
            _make_the_demo(out, tmp_path_factory.mktemp("users-own"))
    return out


def _make_the_demo(out: Path, elsewhere: Path) -> None:
    """In a process of its own, whose environment names another database: the caller's is not met. The year ends yesterday."""
    theirs = ("STILLROOM_", "DJANGO_", "DATABASE_")
    kept = {name: value for name, value in os.environ.items() if not name.startswith(theirs)}
    own = {"STILLROOM_DATA": "", "DATABASE_URL": f"sqlite:///{elsewhere}/own.sqlite3"}
    today = date.today() - timedelta(days=1)
    done = subprocess.run(
        [sys.executable, "-c", "from stillroom.cli.main import main; main()", "demo", "--out", str(out), "--today", str(today)],
        capture_output=True, text=True, env=kept | own, timeout=600, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert not list(elsewhere.iterdir()), "the caller's database is not met"
    (out / "printed.txt").write_text(done.stdout, "utf-8")


@pytest.fixture(autouse=True, scope="session")
def data_directory(tmp_path_factory):
    """Keys and checkpoints of tests never touch the user's own."""
    from django.conf import settings

    settings.DATA = tmp_path_factory.mktemp("data")
    return settings.DATA


@pytest.fixture(autouse=True)
def trail_is_whole(request, tmp_path_factory):
    """After every test that writes to the database: each row has its events, and the chain is whole.

    Read from outside the writing code; a test that spoils the trail on purpose is marked ``tampers``.
    """
    marker = request.node.get_closest_marker("django_db")
    there = {"db", "transactional_db"} & set(request.fixturenames)
    if request.instance is not None or not (marker or there):
        yield
        return
    real = "transactional_db" in there or (marker and marker.kwargs.get("transaction"))
    request.getfixturevalue("transactional_db" if real else "db")
    from django.conf import settings

    kept, settings.DATA = settings.DATA, tmp_path_factory.mktemp("data")
    yield
    try:
        if not request.node.get_closest_marker("tampers"):
            from stillroom.services.audit import verify

            assert [str(finding) for finding in verify().findings] == []
    finally:
        settings.DATA = kept


@pytest.fixture(autouse=True, scope="session")
def guards_lifted_while_emptying():
    """Django empties the database after a test with real transactions: the guards against that are lifted for it.

    They are put back by the `post_migrate` signal that emptying sends.
    """
    from django.test import TransactionTestCase

    emptying = TransactionTestCase._fixture_teardown

    def lifted(case):
        from django.db import connection

        from stillroom.records import guards

        guards.remove(connection)
        emptying(case)

    TransactionTestCase._fixture_teardown = lifted
    yield
    TransactionTestCase._fixture_teardown = emptying
