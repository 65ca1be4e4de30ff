"""A fault at the first statement, then at the second, … until the action completes untouched."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.db import DatabaseError, OperationalError, connection


class Faulty:
    """Lets `after` statements through and fails the next one, or all from there on; savepoints are left and undone unharmed."""

    def __init__(self, after: int, *, forever: bool) -> None:
        self.left, self.forever = after, forever
        self.failed = self.inside = False

    def __call__(self, execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        if sql.startswith(("ROLLBACK", "RELEASE")):
            return execute(sql, params, many, context)
        self.left -= 1
        if self.left == -1 or (self.forever and self.left < 0):
            self.failed, self.inside = True, self.inside or connection.in_atomic_block
            raise OperationalError("a fault of the test")
        return execute(sql, params, many, context)


def at_every_statement(
    action: Callable[[], None],
    state: Callable[[], Any],
    *,
    forever: bool,
    undo: Callable[[], None] | None = None,
) -> int:
    """Run `action` with a fault at each statement in turn; after each failure the state is as before.

    Returns
    -------
    int
        How many statements there were to fail [-].
    """
    before, after = state(), 0
    while True:
        fault = Faulty(after, forever=forever)
        try:
            with connection.execute_wrapper(fault):
                action()
        except DatabaseError:
            assert fault.failed
            assert not connection.in_atomic_block
            assert state() == before, f"half written after a fault at statement {after + 1}"
            after += 1
            continue
        # after the commit only what may fail is left: copies of a checkpoint, which the next one makes good
        assert not fault.inside, "a fault was swallowed"
        assert state() != before
        return after
