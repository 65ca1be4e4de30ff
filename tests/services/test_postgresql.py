"""What is due and what would come out differently: the same tests on PostgreSQL."""

from __future__ import annotations

from on_postgresql import needs_postgresql, passes


@needs_postgresql
def test_the_same_on_postgresql():
    passes(["tests/services/test_due.py", "tests/services/test_recheck.py"], database="stillroom_services")
