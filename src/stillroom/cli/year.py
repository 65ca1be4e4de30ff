"""The demo's year: a data folder of its own, made by a process of its own, so that nobody's database is met.

`main` is that process: ``python -m stillroom.cli.year FOLDER YYYY-MM-DD``, with the story on standard output.
"""

from __future__ import annotations

import datetime
import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterable
from contextlib import closing
from importlib import resources
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any

from stillroom.errors import InputError, Problem, StillroomError

if TYPE_CHECKING:
    from stillroom.services.scenario import Played

__all__ = ["Playing", "main", "replaceable", "start"]

MARK = "made-by-demo.txt"
"""Lies in every folder that the demo made."""
_MARKED = "Made by “stillroom demo”; all of it is invented. The next demo replaces this folder.\n"
_DATABASE = "stillroom.sqlite3"


def replaceable(year: Path) -> None:
    """Refuse a folder that holds anything but an earlier demo's year.

    Parameters
    ----------
    year : Path

    Raises
    ------
    InputError
        Something else lies there; nothing was touched.
    """
    if not year.exists() or (year.is_dir() and not any(year.iterdir())):
        return
    own = year.is_dir() and not year.is_symlink() and (year / MARK).is_file()
    if not own or not _invented(year / _DATABASE):
        mend = "Choose another folder with --out; this one was left as it is."
        raise InputError(Problem("holds something that the demo did not make", mend, file=str(year)))


def _invented(database: Path) -> bool:
    """Whether the first thing that was ever written there is the demo's beginning."""
    if not database.exists():
        return False
    try:
        with closing(sqlite3.connect(f"{database.resolve().as_uri()}?mode=ro", uri=True)) as opened:
            first = opened.execute("SELECT reason FROM records_event ORDER BY id LIMIT 1").fetchone()
    except sqlite3.Error:
        return False
    return first is not None and first[0] == _scenario_reason()


def _scenario_reason() -> str:
    import tomllib

    file = resources.files("stillroom.cli") / "demo" / "year" / "year.toml"
    return str(tomllib.loads(file.read_text("utf-8"))["reason"])


class Playing:
    """The year while it is made, beside whatever the caller does meanwhile; what is not finished leaves nothing."""

    def __init__(self, folder: Path, process: subprocess.Popen[bytes], story: Path) -> None:
        self._folder, self._process, self._story = folder, process, story

    def __enter__(self) -> Playing:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._process.poll() is None:
            self._process.kill()
        self._process.wait()
        shutil.rmtree(self._folder, ignore_errors=True)

    def finish(self, year: Path) -> None:
        """Wait, tell the story, and put the folder in its place.

        Parameters
        ----------
        year : Path
            Where it comes to lie; an earlier demo's is replaced.

        Raises
        ------
        StillroomError
            It could not be made; an earlier one is as it was.
        """
        status = self._process.wait()
        told = self._story.read_text("utf-8", "replace")
        if status:
            raise StillroomError(f"the demo's year could not be made:\n{told[-2000:]}")
        self._story.unlink()
        replaceable(year)
        if year.exists():
            old = self._folder.with_name(f"{self._folder.name}-before")
            year.rename(old)
            self._folder.rename(year)
            shutil.rmtree(old)
        else:
            self._folder.rename(year)
        sys.stdout.write(told)
        sys.stdout.flush()


def start(out: Path, today: datetime.date) -> Playing:
    """Begin to make the year in a folder below `out`.

    Parameters
    ----------
    out : Path
        Made where it is not there.
    today : datetime.date
        The day after the year's last.

    Notes
    -----
    The environment of the process names no database, key or folder of the caller's.
    """
    out.mkdir(parents=True, exist_ok=True)
    folder = Path(tempfile.mkdtemp(prefix=".year-", dir=out)).resolve()
    story = folder / "story.part"
    ours = ("STILLROOM_", "DJANGO_", "DATABASE_")
    environment = {name: value for name, value in os.environ.items() if not name.startswith(ours)}
    command = [sys.executable, "-m", "stillroom.cli.year", str(folder), today.isoformat()]
    with story.open("wb") as told:
        process = subprocess.Popen(
            command, stdout=told, stderr=told, stdin=subprocess.DEVNULL, env=environment
        )
    return Playing(folder, process, story)


def main(folder: Path, today: datetime.date) -> None:
    """Everything into `folder`, which is there and holds no database.

    Parameters
    ----------
    folder : Path
    today : datetime.date
        The day after the year's last.
    """
    (folder / MARK).write_text(_MARKED, "utf-8")
    from stillroom.web.serve import prepare

    prepare(folder)
    from stillroom.services.scenario import play, read_scenario

    with resources.as_file(resources.files("stillroom.cli") / "demo") as files:
        played = play(read_scenario(files / "year" / "year.toml"), today=today)
    for name, content in _papers(played, today).items():
        (folder / name).write_bytes(content)
    print(_story(played), end="")


def _papers(played: Played, today: datetime.date) -> dict[str, bytes]:
    from stillroom.documents.spent import spent_pdf
    from stillroom.services.due import due
    from stillroom.services.due_files import as_calendar, as_csv, as_xlsx
    from stillroom.services.in_place import standing_in
    from stillroom.services.papers import papers
    from stillroom.services.sign import record_of
    from stillroom.services.spent_filter import spent_filter

    stage = played.stage
    workshop = stage.cabinets["workshop"]
    found: dict[str, bytes] = {}
    standing = standing_in(workshop, today)
    if standing is not None:
        found |= papers(record_of(standing), path=f"v/{standing.label_token}/")
    taken_out = [row for row in stage.changes if row.removed_mass_g is not None and row.cabinet == workshop]
    found["spent.pdf"] = spent_pdf(spent_filter(taken_out[-1]))
    found |= _difference(stage.differences[0])
    items = due(stage.organisation, today=today)
    stamp = datetime.datetime.combine(today, datetime.time(), datetime.UTC)
    name = f"Due: {stage.organisation.name}"
    found["due.csv"] = as_csv(items, link=_no_link)
    found["due.xlsx"] = as_xlsx(items, link=_no_link, made=stamp)
    found["due.ics"] = as_calendar(items, stamp=stamp, today=today, name=name, link=_no_link)
    found["story.txt"] = _story(played).encode()
    found["log-in.txt"] = _lines(f"{user}\t{password}" for user, password in played.passwords.items())
    return found


def _no_link(_: object) -> str:
    return ""


def _difference(difference: dict[str, Any]) -> dict[str, bytes]:
    from stillroom.services.compare import lines

    head = f"Invented. Record {difference['before']['number']} → {difference['after']['number']}"
    asked = [f"asked: {row['name']} {row['change']}" for row in difference["containers"]]
    return {
        "difference.txt": _lines([head, "", *asked, *lines(difference)]),
        "difference.json": (json.dumps(difference, ensure_ascii=False, indent=1) + "\n").encode(),
    }


def _story(played: Played) -> str:
    return _lines([f"{played.stage.organisation.name}: a year", *map(str, played.story)]).decode()


def _lines(rows: Iterable[str]) -> bytes:
    return ("\n".join(rows) + "\n").encode()


if __name__ == "__main__":
    os.umask(0o077)
    main(Path(sys.argv[1]), datetime.date.fromisoformat(sys.argv[2]))
