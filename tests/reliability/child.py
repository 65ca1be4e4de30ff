"""Programs of their own that work on one database, to be run side by side, killed, and looked at afterwards."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

PREAMBLE = """
import django
django.setup()
from stillroom.records import models, store, trail
user, organisation = models.User.objects.order_by("pk").first(), models.Organisation.objects.get()
"""
MAKE = """
import os
from stillroom.web.serve import prepare
prepare(os.environ["STILLROOM_DATA"])
from stillroom.records import models, store, trail
user = store.first_user(username="ada", full_name="Ada", password_hash="!", organisation="Invented Works")
organisation = models.Organisation.objects.get()
with trail.writing(organisation, user, reason="invented"):
    models.Cabinet.objects.create(organisation=organisation, created_by=user, name="C", place="0")
"""
LOOK = """
from stillroom.records import guards
from django.db import connection
from stillroom.services.audit import verify
assert guards.missing(connection) == []
report = verify()
assert report.whole, [str(finding) for finding in report.findings]
if connection.vendor == "sqlite":
    with connection.cursor() as cursor:
        assert cursor.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert cursor.execute("PRAGMA foreign_key_check").fetchall() == []
"""

LIVES = """
import os, sys
from django.db import connections
from stillroom.records import guards
guards.check(connections["default"])
connections.close_all()  # each life opens its own
print("ready", flush=True)
for _line in sys.stdin:
    life = os.fork()
    if not life:
        try:
            print("life", os.getpid(), flush=True)
            exec(WORK)
        except BaseException:
            import traceback
            traceback.print_exc()
        finally:
            os._exit(1)
    _, status = os.waitpid(life, 0)
    print("over", status, flush=True)
"""


@dataclass(frozen=True)
class Place:
    """A data directory and the database that belongs to it; an empty address means SQLite in the directory."""

    data: Path
    url: str

    def made(self) -> Place:
        self.run(MAKE, preamble="")
        return self

    def start(self, code: str, *, preamble: str = PREAMBLE) -> subprocess.Popen[str]:
        """A child that runs this code; `user`, `organisation`, `models`, `store` and `trail` are at hand."""
        # unbuffered, a line would leave word by word, and a kill could cut it
        never = ("STILLROOM_CHECKPOINTS", "PYTHONUNBUFFERED")
        kept = {name: value for name, value in os.environ.items() if name not in never}
        own = {
            "STILLROOM_DATA": str(self.data),
            "DATABASE_URL": self.url,
            "DJANGO_SETTINGS_MODULE": "stillroom.web.settings",
            "STILLROOM_SECRET_KEY": "a test's own, not secret",
            "PYTHONPATH": str(Path(__file__).parents[1]),
        }
        return subprocess.Popen(
            [sys.executable, "-c", preamble + code],
            env=kept | own,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    def run(self, code: str, *, preamble: str = PREAMBLE) -> str:
        """Run to the end; what it printed."""
        child = self.start(code, preamble=preamble)
        out, err = child.communicate(timeout=120)
        assert child.returncode == 0, err
        return out

    def look(self, code: str = "") -> str:
        """The database is sound, the trail whole; then `code` says what it finds."""
        return self.run(LOOK + code)

    def lives(
        self, work: str, kills: Iterable[tuple[int, float]], *, prepare: str = ""
    ) -> Iterator[list[str]]:
        """What each of several lives said before it was killed (SIGKILL) without warning.

        A program loads once, does `prepare`, and forks a life for each kill; each opens the database anew and does
        `work`, which never ends and flushes what it says. A kill waits for so many lines [-], then so long [s].

        Yields
        ------
        list of str
            First what `prepare` said; then a list a life.
        """
        child = self.start(f"WORK = {work!r}\n" + prepare + LIVES)
        assert child.stdin and child.stdout and child.stderr

        def until(word: str) -> list[str]:
            said = []
            for line in child.stdout:
                said.append(line.strip())
                if line.startswith(word):
                    return said
            raise AssertionError(child.stderr.read())

        try:
            yield until("ready")[:-1]
            for lines, delay in kills:
                child.stdin.write("next\n")
                child.stdin.flush()
                pid = int(until("life")[-1].split()[1])
                said: list[str] = []
                while len(said) < lines:
                    said += until("")
                    assert not said[-1].startswith("over"), child.communicate()[1]
                time.sleep(delay)
                os.kill(pid, signal.SIGKILL)
                said += until("over")
                assert said.pop() == f"over {int(signal.SIGKILL)}", child.communicate()[1]
                yield said
        finally:
            child.kill()
            for pipe in (child.stdin, child.stdout, child.stderr):
                pipe.close()
            child.wait()
