"""The same tests of the trail on PostgreSQL, in a process and a database of their own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

import pytest

URL = os.environ.get("STILLROOM_TEST_DATABASE_URL", "")
ROOT = Path(__file__).parents[2]


@pytest.mark.skipif(not URL, reason="STILLROOM_TEST_DATABASE_URL names no PostgreSQL server")
@pytest.mark.skipif(bool(os.environ.get("DATABASE_URL")), reason="this is that process")
def test_the_same_on_postgresql():
    own = urlunsplit(urlsplit(URL)._replace(path=f"/stillroom_audit_{os.getpid()}"))
    names = ("beginning", "coverage", "health", "immutable", "keys", "verify")
    chosen = [*(f"tests/audit/test_{name}.py" for name in names), "tests/reliability/test_faults.py"]
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
