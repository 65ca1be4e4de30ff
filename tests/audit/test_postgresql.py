"""The same tests of the trail on PostgreSQL, in a database of their own."""

from __future__ import annotations

from on_postgresql import needs_postgresql, passes

NAMES = ("beginning", "coverage", "health", "immutable", "keys", "verify")


@needs_postgresql
def test_the_same_on_postgresql():
    chosen = [*(f"tests/audit/test_{name}.py" for name in NAMES), "tests/reliability/test_faults.py"]
    passes(chosen, database="stillroom_audit")
