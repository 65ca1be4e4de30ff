"""Programs of their own that work on one database, to be run side by side, killed, and looked at afterwards."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

PREAMBLE = """
import django
django.setup()
from stillroom.records import models, store, trail
user, organisation = models.User.objects.get(), models.Organisation.objects.get()
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
        kept = {name: value for name, value in os.environ.items() if name not in ("STILLROOM_CHECKPOINTS",)}
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
