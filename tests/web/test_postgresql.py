"""The same tests of records and pages on PostgreSQL, in a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

URL = os.environ.get("STILLROOM_TEST_DATABASE_URL", "")
ROOT = Path(__file__).parents[2]


@pytest.mark.skipif(not URL, reason="STILLROOM_TEST_DATABASE_URL names no PostgreSQL server")
@pytest.mark.skipif(bool(os.environ.get("DATABASE_URL")), reason="this is that process")
def test_the_same_on_postgresql():
    chosen = [
        "tests/records",
        *(f"tests/web/test_{name}.py" for name in ("matrix", "people", "intake", "result")),
    ]
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *chosen],
        cwd=ROOT,
        env=os.environ | {"DATABASE_URL": URL},
        capture_output=True,
        text=True,
        timeout=600,
    )
    assert done.returncode == 0, done.stdout[-4000:]
