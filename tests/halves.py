"""Run the whole suite as two pytest processes side by side, about as long each.

Only the first asks PostgreSQL, so the two never meet there. What is new is in the second unless it lies in a folder named here
or its file is.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

FIRST = ("audit", "records", "reliability", "signing")
"""Folders with tests that ask PostgreSQL, and one more so that both take as long."""
ASK = ("test_postgresql.py",)
"""Files that do, elsewhere."""
TESTS = Path(__file__).parent


def halves() -> tuple[list[str], list[str]]:
    """Every file of tests, in one of two lists."""
    first, second = [], []
    for file in sorted(TESTS.rglob("test_*.py")):
        folder = file.relative_to(TESTS).parts[0]
        (first if folder in FIRST or file.name in ASK else second).append(str(file))
    return first, second


def main() -> int:
    """Both outputs one after the other; 0 where both passed."""
    first_half, second_half = halves()
    command = [sys.executable, "-m", "pytest", *sys.argv[1:]]
    with tempfile.TemporaryFile() as said:
        beside = subprocess.Popen(
            [*command, "-p", "no:cacheprovider", *second_half], cwd=TESTS.parent, stdout=said, stderr=said
        )
        first = subprocess.run([*command, *first_half], cwd=TESTS.parent, check=False).returncode
        second = beside.wait()
        said.seek(0)
        sys.stdout.buffer.write(said.read())
        sys.stdout.flush()
    print(
        f"first half {'passed' if first == 0 else 'failed'}, second half {'passed' if second == 0 else 'failed'}"
    )
    return 1 if first or second else 0


if __name__ == "__main__":
    sys.exit(main())
