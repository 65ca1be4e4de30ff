"""Run the whole suite as two pytest processes side by side: what needs the database, and everything else.

Only the first asks PostgreSQL, so the two never meet there. A new folder is in the second unless it is named here.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

STORED = ("audit", "records", "reliability", "security", "services", "signing", "web")
"""Folders of tests that need the database."""
TESTS = Path(__file__).parent


def halves() -> tuple[list[str], list[str]]:
    """Everything under ``tests``, each thing in one of two lists."""
    there = [
        item
        for item in sorted(TESTS.iterdir())
        if (item.is_dir() and any(item.rglob("test_*.py"))) or item.match("test_*.py")
    ]
    stored = [str(item) for item in there if item.name in STORED]
    return stored, [str(item) for item in there if item.name not in STORED]


def main() -> int:
    """Both outputs one after the other; 0 where both passed."""
    stored, rest = halves()
    command = [sys.executable, "-m", "pytest", *sys.argv[1:]]
    with tempfile.TemporaryFile() as said:
        beside = subprocess.Popen(
            [*command, "-p", "no:cacheprovider", *rest], cwd=TESTS.parent, stdout=said, stderr=said
        )
        first = subprocess.run([*command, *stored], cwd=TESTS.parent, check=False).returncode
        second = beside.wait()
        said.seek(0)
        sys.stdout.buffer.write(said.read())
        sys.stdout.flush()
    print(
        f"stored: {'passed' if first == 0 else 'failed'}; the rest: {'passed' if second == 0 else 'failed'}"
    )
    return 1 if first or second else 0


if __name__ == "__main__":
    sys.exit(main())
