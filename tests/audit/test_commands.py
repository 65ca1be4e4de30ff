"""`stillroom audit verify` and `stillroom doctor --db`, as they are called: on a database of their own in a folder."""

from __future__ import annotations

import json
import os
import re
import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest

pytestmark = pytest.mark.skipif(bool(os.environ.get("DATABASE_URL")), reason="on SQLite files of their own")

MAKE = """
from stillroom.web.serve import prepare
prepare({data!r})
from stillroom.records import models, store, trail
user = store.first_user(username="ada", full_name="Ada", password_hash="!", organisation="Invented Works")
organisation = models.Organisation.objects.get()
for number in range(20):
    store.new_draft(organisation, user, title=str(number), inputs={{}})
head = trail.head(organisation)
print(head.seq, head.hash[:32])
"""


LATER = """
import datetime
from stillroom.web.serve import prepare
prepare({data!r})
from django.utils import timezone
tomorrow = timezone.now() + datetime.timedelta(days=1)
timezone.now = lambda: tomorrow
from stillroom.records import models, store, trail
organisation = models.Organisation.objects.get()
store.new_draft(organisation, models.User.objects.get(), title="later", inputs={{}})
head = trail.head(organisation)
print(head.seq, head.hash[:32])
"""


def environment(data):
    names = ("DATABASE_URL", "STILLROOM_CHECKPOINTS")
    kept = {name: value for name, value in os.environ.items() if name not in names}
    return kept | {"STILLROOM_DATA": str(data), "STILLROOM_SECRET_KEY": "a test's own, not secret"}


def run(data, *arguments):
    return subprocess.run(
        [sys.executable, "-c", "from stillroom.cli.main import main; main()", *arguments],
        env=environment(data), capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    data = tmp_path_factory.mktemp("made")
    done = subprocess.run(
        [sys.executable, "-c", MAKE.format(data=str(data))],
        env=environment(data), capture_output=True, text=True, timeout=120, check=True,
    )  # fmt: skip
    seq, head = done.stdout.split()
    return data, seq, head


@pytest.fixture
def copied(made, tmp_path):
    """A copy of the folder, to tamper with."""
    import shutil

    data, seq, head = made
    shutil.copytree(data, tmp_path / "data")
    return tmp_path / "data", seq, head


def tamper(data, *statements):
    with closing(sqlite3.connect(data / "stillroom.sqlite3")) as db, db:
        for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            db.execute(f'DROP TRIGGER "{name}"')
        for statement in statements:
            db.execute(statement)


def test_a_whole_trail(made):
    done = run(made[0], "audit", "verify")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.endswith("Whole.\n")
    found = json.loads(run(made[0], "audit", "verify", "--json").stdout)
    assert found["whole"] is True and found["rows"] == 24


def test_six_attacks_are_found(made):
    done = run(made[0], "audit", "verify", "--selftest")
    assert done.returncode == 0, done.stdout + done.stderr
    assert "6 of 6 found." in done.stdout


def test_the_paper_holds_against_the_true_database_and_not_against_a_shortened_or_rewritten_one(copied):
    data, seq, head = copied
    paper = ("audit", "verify", "--pdf-head", head, "--seq", seq)
    assert run(data, *paper).returncode == 0
    as_copied = f"{head[:14]}\u200b\n{head[14:28]}\u200b{head[28:]}"  # from a PDF, where its line may break
    assert run(data, "audit", "verify", "--pdf-head", as_copied, "--seq", seq).returncode == 0
    last = f"log <> 'installation' AND seq >= {int(seq) - 1}"
    tamper(data, f"DELETE FROM records_event WHERE {last}")
    done = run(data, *paper)
    assert done.returncode == 1
    assert f"event {seq} · no log has the head {head}" in done.stdout


def test_a_checkpoint_kept_elsewhere(copied, tmp_path):
    data, _, _ = copied
    files = sorted((data / "checkpoints").glob("*-000000002.txt"))
    assert len(sorted((data / "checkpoints").iterdir())) == 2, "one of each log's first events"
    kept = tmp_path / "kept.txt"
    kept.write_bytes(files[0].read_bytes())
    assert run(data, "audit", "verify", "--checkpoint", str(kept)).returncode == 0
    tamper(data, "DELETE FROM records_event WHERE log <> 'installation'", "DELETE FROM records_checkpoint")
    for file in (data / "checkpoints").iterdir():
        file.unlink()
    done = run(data, "audit", "verify", "--checkpoint", str(kept))
    assert done.returncode == 1 and "the whole log is gone; a checkpoint knows" in done.stdout
    kept.write_text("something else")
    done = run(data, "audit", "verify", "--checkpoint", str(kept))
    assert done.returncode == 2 and "this is no checkpoint" in done.stderr


def test_a_database_put_back_from_an_older_copy_is_a_log_cut_short(copied, tmp_path):
    """Nothing is wrong inside it: only what was kept outside, a later checkpoint or paper, tells."""
    data, _, _ = copied
    old = (data / "stillroom.sqlite3").read_bytes()
    done = subprocess.run(
        [sys.executable, "-c", LATER.format(data=str(data))],
        env=environment(data), capture_output=True, text=True, timeout=120, check=True,
    )  # fmt: skip
    seq, head = done.stdout.split()
    assert run(data, "audit", "verify", "--pdf-head", head, "--seq", seq).returncode == 0
    for file in data.glob("stillroom.sqlite3*"):
        file.unlink()
    (data / "stillroom.sqlite3").write_bytes(old)
    done = run(data, "audit", "verify")
    assert done.returncode == 1 and "cut off" in done.stdout, done.stdout
    later = [file for file in (data / "checkpoints").iterdir() if int(file.stem[-9:]) > 20]
    assert len(later) == 1
    later[0].rename(tmp_path / "kept.txt")
    assert run(data, "audit", "verify").returncode == 0, "without anything from outside it looks whole"
    for kept in (("--checkpoint", str(tmp_path / "kept.txt")), ("--pdf-head", head, "--seq", seq)):
        assert run(data, "audit", "verify", *kept).returncode == 1


def test_a_row_altered_behind_its_back_is_named(copied):
    tamper(copied[0], "UPDATE records_assessment SET title = 'other' WHERE number = 7")
    done = run(copied[0], "audit", "verify")
    assert done.returncode == 1
    assert "was altered behind the trail's back: title" in done.stdout


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--pdf-head", "0" * 32), "Give both"),
        (("--pdf-head", "xyz", "--seq", "3"), "no head of a trail"),
        (("--checkpoint", "/nowhere"), "does not exist"),
    ],
)
def test_what_is_asked_wrongly(made, arguments, words):
    done = run(made[0], "audit", "verify", *arguments)
    assert done.returncode == 2 and words in done.stderr


def test_where_there_is_no_database(tmp_path):
    for command in (("audit", "verify"), ("doctor", "--db")):
        done = run(tmp_path, *command)
        assert done.returncode == 2 and "there is no database" in done.stderr
        assert list(tmp_path.iterdir()) == [], "looking makes nothing"


def test_the_time_is_told(tmp_path):
    done = run(tmp_path, "audit", "verify", "--bench", "2000")
    assert done.stdout.startswith("2000 events checked in ")
    slow = (
        int(re.search(r"\((\d+) a second\)", done.stdout)[1]) < 20_000
    )  # a machine may be busy; the answer is the same
    assert done.returncode == int(slow)


def test_files_of_the_trail_are_their_owners_only(made):
    assert (made[0] / "trail-key").stat().st_mode & 0o777 == 0o600
    text = (made[0] / "trail-key").read_text("ascii")
    assert "PRIVATE KEY" in text
    assert b"PRIVATE KEY" not in (made[0] / "stillroom.sqlite3").read_bytes()


def test_doctor_finds_it_right_and_says_what_is_not(copied):
    data, _, _ = copied
    done = run(data, "doctor", "--db")
    assert done.returncode == 0, done.stdout
    for name in ("synchronous", "busy_timeout", "foreign_keys", "recursive_triggers", "append-only triggers"):
        assert name in done.stdout
    answers = {answer["what"]: answer for answer in json.loads(run(data, "doctor", "--db", "--json").stdout)}
    assert all(answer["right"] is not False for answer in answers.values())
    tamper(data)
    (data / "trail-key").chmod(0o644)
    os.link(data / "stillroom.sqlite3", data / "second")
    done = run(data, "doctor", "--db")
    assert done.returncode == 1
    for words in ("missing: records_", "mode 0644", "2 name(s)"):
        assert words in done.stdout
    assert "chmod 600" in done.stderr
