"""The error tree. Every message says what was wrong, where, and what to do.

::

    StillroomError
    ├── InputError          the input is wrong (exit status 2); carries every Problem found
    ├── CannotTell          the question is well put and cannot be answered, because … (exit status 3)
    └── OutOfValidity       a correlation was asked for a value outside its published range
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

__all__ = ["CannotTell", "InputError", "OutOfValidity", "Problem", "StillroomError"]


class StillroomError(Exception):
    """Base of all errors that Stillroom raises on purpose."""

    exit_status = 2


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with an input: where it is, what was found, and the mend."""

    what: str
    mend: str
    file: str = ""
    row: int | None = None
    column: str = ""
    found: str = ""

    def __str__(self) -> str:
        place = self.file
        if self.row is not None:
            place += f", row {self.row}" if place else f"row {self.row}"
        if self.column:
            place += f", column “{self.column}”" if place else f"column “{self.column}”"
        found = f" (found “{self.found}”)" if self.found else ""
        return f"{place}: {self.what}{found}. {self.mend}" if place else f"{self.what}{found}. {self.mend}"


class InputError(StillroomError):
    """The input is wrong; `problems` lists every fault, each with its place and mend."""

    exit_status = 2

    def __init__(self, problems: Iterable[Problem] | Problem | str) -> None:
        if isinstance(problems, str):
            problems = [Problem(problems, "")]
        elif isinstance(problems, Problem):
            problems = [problems]
        self.problems: tuple[Problem, ...] = tuple(problems)
        super().__init__("\n".join(str(problem).strip() for problem in self.problems))


class CannotTell(StillroomError):
    """A well-put question that has no defensible answer; the message begins with the reason."""

    exit_status = 3


class OutOfValidity(StillroomError):
    """A published correlation was asked for a value outside the range it was made for."""

    exit_status = 3
