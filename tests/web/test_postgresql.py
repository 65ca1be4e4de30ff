"""The same tests of records and pages on PostgreSQL."""

from __future__ import annotations

from on_postgresql import needs_postgresql, passes

NAMES = ("matrix", "people")


@needs_postgresql
def test_the_same_on_postgresql():
    passes(["tests/records", *(f"tests/web/test_{name}.py" for name in NAMES)], database="stillroom_web")
