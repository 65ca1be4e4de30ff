"""Assess a folder of cabinets, several at once, and keep each answer as it comes."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date as Date
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Any

from stillroom import fleet
from stillroom.errors import InputError, Problem, StillroomError
from stillroom.fleet.journal import write_whole

__all__ = ["Options", "assess_folder", "one_thread_each", "start_worker"]

_THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


@dataclass(frozen=True, slots=True)
class Options:
    """What all cabinets of a run have in common."""

    date: Date
    seed: int = 1
    draws: int = 1000
    """[-]"""
    limits: tuple[str, ...] = ()
    papers: bool = False
    """the PDF papers too"""
    invented: bool = False

    def words(self) -> tuple[str, ...]:
        """What else the answers hang on, for the digest."""
        import stillroom
        from stillroom.services.record import MODEL_VERSION
        from stillroom.substances import limits

        return (
            *(f"{key} {words}" for key, words in sorted(limits.versions().items())),
            self.date.isoformat(),
            str(self.seed),
            str(self.draws),
            ",".join(self.limits),
            str(self.papers),
            str(self.invented),
            MODEL_VERSION,
            stillroom.__version__,
        )


def assess_folder(
    folder: Path,
    out: Path,
    options: Options,
    *,
    workers: int = 1,
    resume: bool = True,
    progress: fleet.Progress | None = None,
) -> list[dict[str, Any]]:
    """The row of every cabinet in `folder`; each record, and the table ``fleet.csv``, are in `out`.

    Parameters
    ----------
    folder : Path
        As `fleet.find` reads it.
    out : Path
        Made where it is not there. A folder for each cabinet, and ``fleet.csv``.
    options : Options
    workers : int
        Processes, 1 … 64 [-].
    resume : bool
        Take from `out` what was answered already for the same files, options and versions.
    progress : callable, optional
        See `fleet.run`.

    Raises
    ------
    InputError
        The folder is no fleet, or the number of workers is out of range. A cabinet whose own files are wrong is a row with
        its fault, and the others go on.
    """
    if not 1 <= workers <= 64:
        raise InputError(
            Problem("is not 1 … 64", "Choose another number.", column="workers", found=str(workers))
        )
    if out.resolve() == folder.resolve() or folder.resolve() in out.resolve().parents:
        raise InputError(
            Problem(
                "lies inside the folder of cabinets", "Choose another folder for the answers.", file=str(out)
            )
        )
    jobs = fleet.find(folder)
    words = options.words()
    rows = fleet.run(
        jobs,
        partial(_answer, out=out, options=options, words=words),
        mapper=fleet.in_turn if workers == 1 else partial(_in_processes, workers=workers),
        journal=fleet.Journal(out) if resume else None,
        digests={job.name: job.digest(*words) for job in jobs} if resume else None,
        progress=progress,
    )
    out.mkdir(parents=True, exist_ok=True)
    write_whole(out / "fleet.csv", fleet.as_csv(rows).encode("utf-8-sig"))
    return rows


def _answer(job: fleet.Job, *, out: Path, options: Options, words: tuple[str, ...]) -> dict[str, Any]:
    """Assess one cabinet and keep the answer; its own faults are an answer too."""
    from stillroom.services.papers import as_json, papers

    digest = job.digest(*words)
    row: dict[str, Any] = {"name": job.name, "digest": digest}
    made: dict[str, bytes] = {}
    try:
        record = _record(job, options)
    except StillroomError as error:
        row |= {"verdict": fleet.WRONG, "fault": str(error), "exit_status": error.exit_status}
    else:
        made = papers(record) if options.papers else {"record.json": as_json(record)}
        row |= _row(record)
    return fleet.Journal(out).keep(job.name, row, made)


def _record(job: fleet.Job, options: Options) -> Any:
    from stillroom.cabinet.load import load_cabinet
    from stillroom.inventory import read
    from stillroom.room.load import load_room
    from stillroom.services.assess import assess

    room = load_room(job.room)
    if options.limits:
        room = replace(room, limit_lists=options.limits)
    cabinet = load_cabinet(job.cabinet)
    return assess(
        read(job.inventory),
        cabinet,
        room,
        date=options.date,
        title=f"{room.name} · {cabinet.name}",
        seed=options.seed,
        draws=options.draws,
        invented=options.invented,
    )


def _row(record: Any) -> dict[str, Any]:
    life = record["service_life_days"]
    return {
        "title": record["title"],
        "verdict": record["verdict"],
        "containers": sum(item["count"] for item in record["containers"]),
        "substances": len(record["substances"]),
        "refused": sum(item["verdict"] == "not approved" for item in record["substances"]),
        "conditions": len(record["conditions"]),
        "conflicts_unsolved": sum(not item["solved"] for item in record["conflicts"]),
        "life_days_p05": life["p05"],
        "life_days_p50": life["p50"],
        "life_days_p95": life["p95"],
        "governing": record["governing"],
        "life_ends": record["life_ends"],
        "next_visit": record["visit"]["next_visit"],
        "number": record["number"],
        "fault": "",
    }


def _in_processes(
    task: Callable[[fleet.Job], dict[str, Any]], jobs: Iterable[fleet.Job], *, workers: int
) -> Iterator[dict[str, Any]]:
    """Rows as they are ready, from fresh processes that die with this one."""
    from concurrent.futures import FIRST_COMPLETED, ProcessPoolExecutor, wait
    from multiprocessing import get_context

    waiting = iter(jobs)
    with (
        one_thread_each(),
        ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=start_worker) as pool,
    ):
        running = {pool.submit(task, job) for job in islice(waiting, 2 * workers)}
        while running:
            ready, running = wait(running, return_when=FIRST_COMPLETED)
            for future in ready:
                yield future.result()
            running |= {pool.submit(task, job) for job in islice(waiting, len(ready))}


@contextmanager
def one_thread_each() -> Iterator[None]:
    """Processes that are started here do their arithmetic in one thread: there are as many processes as are wanted."""
    before = {name: os.environ.get(name) for name in _THREADS}
    os.environ.update(dict.fromkeys(_THREADS, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


def start_worker() -> None:
    """No worker outlives the process that started it."""
    from multiprocessing import parent_process
    from threading import Thread

    parent = parent_process()

    def leave() -> None:
        if parent is not None:
            parent.join()
        os._exit(1)

    Thread(target=leave, daemon=True).start()
