"""Many cabinets, one after the other or several at once: who runs them is an argument."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any, Protocol

from stillroom.fleet.folder import Job
from stillroom.fleet.journal import Journal

__all__ = ["Mapper", "Progress", "Row", "in_turn", "run"]

Row = dict[str, Any]
Progress = Callable[[int, int, Row], None]
"""(how many are done, how many there are, the latest row)"""


class Mapper(Protocol):
    """Something that applies a function to many things, in any order."""

    def __call__(self, task: Callable[[Job], Row], jobs: Iterable[Job]) -> Iterator[Row]: ...


def in_turn(task: Callable[[Job], Row], jobs: Iterable[Job]) -> Iterator[Row]:
    """One after the other, in this process."""
    return map(task, jobs)


def run(
    jobs: Sequence[Job],
    task: Callable[[Job], Row],
    *,
    mapper: Mapper = in_turn,
    journal: Journal | None = None,
    digests: dict[str, str] | None = None,
    progress: Progress | None = None,
) -> list[Row]:
    """The rows of all jobs, in the order of `jobs`.

    Parameters
    ----------
    jobs : sequence of Job
    task : callable
        Job to row; a row has ``name``. It keeps its own papers.
    mapper : Mapper
        Serial, processes, many machines.
    journal : Journal, optional
        Where rows of an earlier run are; with `digests` they are taken from it and not made again.
    digests : dict, optional
        Name to the digest that an earlier row must have been made from.
    progress : callable, optional
        Called after each row, those of the journal first.
    """
    known: dict[str, Row] = {}
    if journal is not None and digests is not None:
        for job in jobs:
            row = journal.row(job.name, digests[job.name])
            if row is not None:
                known[job.name] = row
                if progress is not None:
                    progress(len(known), len(jobs), row)
    for row in mapper(task, [job for job in jobs if job.name not in known]):
        known[row["name"]] = row
        if progress is not None:
            progress(len(known), len(jobs), row)
    return [known[job.name] for job in jobs]
