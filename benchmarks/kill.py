"""``python -m benchmarks.kill``: writing, signing, uploads and a fleet run, each killed 20 times, and what was found afterwards.

On a SQLite file; on PostgreSQL too where ``STILLROOM_TEST_DATABASE_URL`` names a server. Exit status as the tests': 0 where
nothing acknowledged was lost, nothing is half there, and every run went on to the same answers.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

TIMES = 20
TESTS = Path(__file__).resolve().parents[1] / "tests" / "reliability"


def main() -> int:
    """Run the tests that kill, the fleet's with all its kills, and print each outcome with its time."""
    worst = 0
    for file in sorted((*TESTS.glob("test_kill*.py"), TESTS / "test_signing.py")):
        start = time.perf_counter()
        done = subprocess.run(
            [sys.executable, "-m", "pytest", str(file), "-k", "kill", "-q", "-s", "-rA"],
            cwd=TESTS.parents[1],
            env=os.environ | {"STILLROOM_KILLS": str(TIMES)},
            capture_output=True,
            text=True,
        )
        print(f"{file.stem}: {time.perf_counter() - start:.0f} s")
        told = ("PASSED", "FAILED", "ERROR", "SKIPPED", "fleet:", "signing:", "upload:", "writing:", "E  ")
        print(
            *(
                f"  {line.lstrip('.')}"
                for line in done.stdout.splitlines()
                if line.lstrip(".").startswith(told)
            ),
            sep="\n",
        )
        worst = max(worst, done.returncode)
    return worst


if __name__ == "__main__":
    sys.exit(main())
