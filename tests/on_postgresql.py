"""Run chosen tests again on PostgreSQL, in a process of their own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import pytest

URL = os.environ.get("STILLROOM_TEST_DATABASE_URL", "")
ROOT = Path(__file__).parents[1]


def needs_postgresql(test):
    """Skip where there is no server, and in that other process."""
    missing = pytest.mark.skipif(not URL, reason="STILLROOM_TEST_DATABASE_URL names no PostgreSQL server")
    return missing(
        pytest.mark.skipif(bool(os.environ.get("DATABASE_URL")), reason="this is that process")(test)
    )


def passes(chosen: list[str], *, database: str = "") -> None:
    """The chosen tests pass there, in a database of that name (with this process's number) or in the server's own."""
    own = urlunsplit(urlsplit(URL)._replace(path=f"/{database}_{os.getpid()}")) if database else URL
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *chosen],
        cwd=ROOT,
        env=os.environ | {"DATABASE_URL": own},
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-4000:]
