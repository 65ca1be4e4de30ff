"""A backup made while others write comes back, on either engine, to the last row; whatever was done to the file is found."""

from __future__ import annotations

import hashlib
import json
import os
import random
import signal
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import pytest

from reliability.child import Place
from reliability.conftest import SERVER, database, drop

ONE_OF_EACH = """
from audit.rows import one_of_each
one_of_each(organisation, user)
"""
ROWS = """
from stillroom.records import rows
import hashlib, json
from stillroom.records.canonical import canonical
for kind, model in rows.kept().items():
    lines = [canonical(json.loads(rows.line(row))) for row in rows.stored(model)]
    print(kind, len(lines), hashlib.sha256("\\n".join(sorted(lines)).encode()).hexdigest())
"""


def stillroom(place: Place, *words: str, **more: str) -> subprocess.CompletedProcess[str]:
    kept = {name: value for name, value in os.environ.items() if name != "STILLROOM_CHECKPOINTS"}
    own = {"STILLROOM_DATA": str(place.data), "DATABASE_URL": place.url, "STILLROOM_LIMITS": ""} | more
    return subprocess.run(
        [sys.executable, "-c", "from stillroom.cli.main import main; main()", *words],
        env=kept | own,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


def made_of(place: Place, file: Path, *words: str) -> dict:
    done = stillroom(place, "backup", "make", str(file), "--json", *words)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.fixture(params=["sqlite", "postgresql"])
def empty(request, tmp_path):
    """A place with nothing in it: no folder, no tables."""
    if request.param == "postgresql" and not SERVER:
        pytest.skip("STILLROOM_TEST_DATABASE_URL names no PostgreSQL server")
    url = database() if request.param == "postgresql" else ""
    yield Place(tmp_path / "restored", url)
    if url:
        drop(url)


def test_every_kind_of_row_comes_back_on_either_engine(place, empty, tmp_path):
    if SERVER and bool(place.url) == bool(empty.url):
        pytest.skip("to the other engine; to its own below")
    place.run(ONE_OF_EACH)
    (place.data / "limits").mkdir()
    (place.data / "limits" / "ours.csv").write_text("invented\n")
    before = place.look(ROWS).splitlines()
    assert all(int(line.split()[1]) for line in before), "a row of every kind"
    contents = made_of(place, tmp_path / "backup.zip")
    assert contents["counts"] == {kind: int(number) for kind, number, _ in map(str.split, before)}
    assert contents["sha256"] == hashlib.sha256((tmp_path / "backup.zip").read_bytes()).hexdigest()
    assert (tmp_path / "backup.zip").stat().st_mode & 0o077 == 0

    done = stillroom(empty, "restore", str(tmp_path / "backup.zip"), "--reason", "a new server")
    assert done.returncode == 0, done.stderr
    assert "signs from now on" in done.stderr
    after = empty.look(ROWS).splitlines()
    moved = {line.split()[0] for line in set(after) - set(before)}
    assert moved == {"event", "checkpoint"} or moved == {"event"}, "only the restoring itself was added"
    assert (empty.data / "limits" / "ours.csv").read_text() == "invented\n"
    told = empty.run(
        "for event in models.Event.objects.filter(action='copy.restored').order_by('log'):\n"
        "    print(event.log == organisation.key, event.reason, event.body)",
        preamble=_GO_ON,
    ).splitlines()
    assert sorted(line.split()[0] for line in told) == ["False", "True"], (
        "each log says from what it was restored"
    )
    assert all("a new server" in line and contents["sha256"] in line for line in told)
    sizes = {log["name"]: (log["size"], log["root"]) for log in contents["logs"]}
    assert all(any(str(size) in line and root in line for line in told) for size, root in sizes.values())
    # and it goes on: numbers after those that were there, signed by its own key
    empty.look(
        "organisation = models.Organisation.objects.get()\n"
        "user = models.User.objects.order_by('pk').first()\n"
        "last = max(models.Assessment.objects.values_list('number', flat=True))\n"
        "assert store.new_draft(organisation, user, title='next', inputs={}).number == last + 1\n"
        "with trail.writing(organisation, user, reason='another'):\n"
        "    models.Cabinet.objects.create(organisation=organisation, created_by=user, name='another')\n"
        "assert verify().whole"
    )
    again = stillroom(empty, "restore", str(tmp_path / "backup.zip"))
    assert again.returncode == 2
    assert "not empty" in again.stderr


_GO_ON = """
import django
django.setup()
from stillroom.records import models, store, trail
organisation = models.Organisation.objects.get()
"""
WRITE = """
for number in range(10_000):
    with trail.writing(organisation, user, reason="one more"):
        cabinet = models.Cabinet.objects.get(name="C")
        cabinet.place = str(int(cabinet.place) + 1)
        cabinet.save()
        models.Cabinet.objects.create(organisation=organisation, created_by=user, name=str(os.getpid()) + " " + str(number))
    print(number, flush=True)
    time.sleep(0.02)
"""


def test_the_drill_under_writes(place, tmp_path):
    writers = [place.start("import os, time\n" + WRITE) for _ in range(2)]
    try:
        for writer in writers:
            writer.stdout.readline()
        before = made_of(place, tmp_path / "backup.zip")
        done = stillroom(place, "backup", "drill", "--json")
    finally:
        written = 0
        for writer in writers:
            writer.send_signal(signal.SIGKILL)
            written += len(writer.communicate()[0].splitlines())
    assert done.returncode == 0, done.stderr
    contents = json.loads(done.stdout)["contents"]
    assert 2 < before["counts"]["cabinet"] < contents["counts"]["cabinet"] < written, "others wrote meanwhile"
    drilled = place.look(
        "import json\n"
        "for event in models.Event.objects.filter(action='backup.drilled'):\n"
        "    said = json.loads(event.body)\n"
        "    print(said['came_back'], said['rows'])"
    )
    assert drilled.split() == ["True", str(sum(contents["counts"].values()))]


def test_killed_at_any_moment(place, empty, tmp_path):
    """Of a backup there is the whole file or none; of a restored database everything or nothing."""
    if bool(place.url) != bool(empty.url):
        pytest.skip("each engine with itself")
    place.run(ONE_OF_EACH)
    file = tmp_path / "backup.zip"
    made_of(place, file)
    whole = place.look(ROWS).splitlines()
    chance = random.Random(20261127)
    make = "from pathlib import Path\nfrom stillroom.services.backup import make\nprint('go', flush=True)\nmake(Path({!r}))"
    for number in range(3):
        other = tmp_path / f"other{number}.zip"
        killed(place.start(make.format(str(other))), after=chance.uniform(0, 0.15))
        if other.exists():
            assert stillroom(place, "backup", "check", str(other)).returncode == 0
    empty.run(
        "",
        preamble="import os\nfrom stillroom.web.serve import prepare\nprepare(os.environ['STILLROOM_DATA'])",
    )
    put = (
        "from pathlib import Path\nfrom stillroom.services.restore import restore\nprint('go', flush=True)\n"
        f"restore(Path({str(file)!r}), actor='a test', reason='a test')\nprint('done', flush=True)"
    )
    for _ in range(4):
        done = killed(
            empty.start(put, preamble="import django\ndjango.setup()\n"), after=chance.uniform(0, 0.5)
        )
        there = empty.run(ROWS, preamble="import django\ndjango.setup()\n").splitlines()
        if any(int(line.split()[1]) for line in there):
            assert {line for line in whole if line.split()[0] not in ("event", "checkpoint")} <= set(there)
            break
        assert not done, "acknowledged and not there"
    else:
        empty.run(put, preamble="import django\ndjango.setup()\n")
    empty.run(
        "from stillroom.services.audit import verify\nassert verify().whole",
        preamble="import django\ndjango.setup()\n",
    )


def killed(child: subprocess.Popen[str], *, after: float) -> bool:
    """Whether it had said that it was done."""
    assert child.stdout and child.stdout.readline() == "go\n", child.communicate()[1]
    time.sleep(after)
    child.send_signal(signal.SIGKILL)
    return "done" in child.communicate()[0]


# -- what was done to the file, or is not in it --


@pytest.fixture(scope="module")
def backup(made, tmp_path_factory):
    """A backup with a row of every kind, from SQLite."""
    folder = tmp_path_factory.mktemp("backups")
    place = Place(folder / "data", "").made()
    place.run(ONE_OF_EACH)
    made_of(place, folder / "backup.zip")
    return folder / "backup.zip"


def rewritten(backup: Path, file: Path, change) -> Path:
    """A copy whose members `change` has had in its hands: name → bytes."""
    with zipfile.ZipFile(backup) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    change(members)
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return file


def honest(members: dict[str, bytes], **manifest) -> None:
    """The manifest says what is inside; its signature cannot be made."""
    said = json.loads(members["manifest.json"])
    said["members"] = {
        name: {"bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
        for name, content in members.items()
        if not name.startswith("manifest")
    }
    said["rows"] = {
        name[5:-6]: content.count(b"\n") for name, content in members.items() if name.startswith("rows/")
    }
    members["manifest.json"] = json.dumps(said | manifest).encode()


def resigned(members: dict[str, bytes], **manifest) -> None:
    """As someone with a key of their own would do it, who puts that key beside the others."""
    from stillroom.records import keys
    from stillroom.services.backup import _signed

    key = keys.Key.new()
    members["trail-keys.txt"] += keys.public_line(key.public).encode()
    honest(members, **manifest)
    members["manifest.sig"] = f"{key.id} {key.sign(_signed(members['manifest.json']))}\n".encode()


def swap(name: str, old: bytes, new: bytes):
    def change(members: dict[str, bytes]) -> None:
        assert old in members[name]
        members[name] = members[name].replace(old, new, 1)

    return change


def also(*steps):
    def change(members: dict[str, bytes]) -> None:
        for step in steps:
            step(members)

    return change


def without(name: str):
    return lambda members: members.pop(name)


def with_member(name: str, content: bytes):
    return lambda members: members.update({name: content})


UNFIT = {
    "a row is another": (swap("rows/cabinet.jsonl", b'"C1"', b'"C2"'), "not what the manifest says"),
    "and the manifest with it": (
        also(swap("rows/cabinet.jsonl", b'"C1"', b'"C2"'), honest),
        "signature does not belong",
    ),
    "a kind of row is missing": (also(without("rows/reading.jsonl"), resigned), "other tables"),
    "a column is missing": (
        also(swap("rows/cabinet.jsonl", b'"serial"', b'"cereal"'), resigned),
        "does not have the columns",
    ),
    "a value is of another kind": (
        also(swap("rows/cabinet.jsonl", b'"commissioned":null', b'"commissioned":"soon"'), resigned),
        "does not belong there",
    ),
    "a row is no JSON": (also(swap("rows/cabinet.jsonl", b"{", b"["), resigned), "no JSON"),
    "a row is cut": (
        also(
            lambda members: members.update({"rows/cabinet.jsonl": members["rows/cabinet.jsonl"][:-1]}),
            resigned,
        ),
        "ends within a row",
    ),
    "something else is inside": (with_member("notes.txt", b"x"), "not what its manifest says"),
    "something else is inside, and named": (also(with_member("notes.txt", b"x"), resigned), "other tables"),
    "a name that climbs": (
        also(with_member("limits/../../x.csv", b"x"), resigned),
        "other tables",
    ),
    "a list that climbs": (also(with_member("limits/earlier/../x.csv", b"x"), resigned), "other tables"),
    "tables of another program": (lambda members: resigned(members, tables="0099_later"), "other tables"),
    "another form": (lambda members: resigned(members, format=2), "form that this program does not know"),
    "no backup at all": (lambda members: members.clear(), "no backup of Stillroom"),
    "a manifest of another shape": (lambda members: resigned(members, rows=[]), "manifest is damaged"),
    "a manifest that says less than there is": (
        lambda members: resigned(
            members, rows=dict.fromkeys(json.loads(members["manifest.json"])["rows"], 0)
        ),
        "its manifest says 0",
    ),
    "no manifest": (without("manifest.json"), "no backup of Stillroom"),
    "no signature": (without("manifest.sig"), "not what its manifest says"),
}


@pytest.mark.parametrize("name", UNFIT)
def test_what_was_done_to_it_is_found(name, backup, tmp_path):
    from stillroom.services.backup import Unfit, open_backup, read_whole

    change, words = UNFIT[name]
    with (
        pytest.raises(Unfit, match=words),
        open_backup(rewritten(backup, tmp_path / "b.zip", change)) as opened,
    ):
        read_whole(opened)


@pytest.mark.parametrize("name", ["a row", "an event", "a row left out"])
def test_one_who_signs_it_with_a_key_of_his_own_is_found_by_the_chain(name, backup, tmp_path):
    from stillroom.services.backup import open_backup, read_whole

    def left_out(members):
        members["rows/reading.jsonl"] = b""

    change = {
        "a row": swap("rows/cabinet.jsonl", b'"C1"', b'"C2"'),
        "an event": swap("rows/event.jsonl", b"one of each", b"two of each"),
        "a row left out": left_out,
    }[name]
    file = rewritten(backup, tmp_path / "b.zip", also(change, resigned))
    with open_backup(file) as opened:
        _, report = read_whole(opened)
    assert not report.whole
    place = Place(tmp_path / "data", "")
    done = stillroom(place, "restore", str(file))
    assert done.returncode == 2
    assert "its trail is not whole" in done.stderr
    assert stillroom(place, "backup", "check", str(file)).returncode == 1


def test_no_byte_can_be_turned(backup, tmp_path):
    """At 60 places, chosen by chance: refused, or it was a byte that says nothing (a time, an attribute of the archive)."""
    from stillroom.services.backup import Unfit, open_backup, read_whole

    content, chance, silent = bytearray(backup.read_bytes()), random.Random(3), 0
    with open_backup(backup) as opened:
        true, _ = read_whole(opened)
    file = tmp_path / "b.zip"
    for _ in range(60):
        at = chance.randrange(len(content))
        content[at] ^= 1 << chance.randrange(8)
        file.write_bytes(content)
        try:
            with open_backup(file) as opened:
                contents, report = read_whole(opened)
            assert report.whole
            assert (contents.counts, contents.logs) == (true.counts, true.logs)
            silent += 1
        except Unfit:
            pass
        content = bytearray(backup.read_bytes())
    assert silent <= 20, "headers of the archive are not much more than a quarter of so small a file"


def test_a_file_that_unpacks_to_more_than_it_says_is_refused(backup, tmp_path, monkeypatch):
    from stillroom.services import backup as module
    from stillroom.services.backup import Unfit, open_backup, read_whole

    monkeypatch.setattr(module, "LONGEST_LINE", 1 << 20)

    def bomb(members):
        resigned(members)
        members["rows/cabinet.jsonl"] = b"0" * 30_000_000

    with pytest.raises(Unfit, match="not what its manifest says"):
        open_backup(rewritten(backup, tmp_path / "b.zip", bomb))

    def one_endless_row(members):
        members["rows/cabinet.jsonl"] = b"0" * 30_000_000 + b"\n"
        resigned(members)

    with (
        pytest.raises(Unfit, match="a row of more than"),
        open_backup(rewritten(backup, tmp_path / "c.zip", one_endless_row)) as opened,
    ):
        read_whole(opened)


def test_what_is_not_there_and_what_is_no_archive(tmp_path):
    from stillroom.errors import InputError
    from stillroom.services.backup import Unfit, open_backup

    with pytest.raises(InputError, match="cannot be read"):
        open_backup(tmp_path / "none.zip")
    (tmp_path / "b.zip").write_bytes(b"PK\x03\x04 and no more")
    with pytest.raises(Unfit, match="no backup"):
        open_backup(tmp_path / "b.zip")


def test_of_a_trail_that_is_not_whole_there_is_evidence(place, tmp_path):
    place.run(
        "from stillroom.records import guards\nfrom django.db import connection\nguards.remove(connection)\n"
        "connection.cursor().execute(\"UPDATE records_cabinet SET place = 'elsewhere'\")\nguards.install(connection)"
    )
    done = stillroom(place, "backup", "make", str(tmp_path / "b.zip"))
    assert done.returncode == 1
    assert "was altered behind the trail's back: place" in done.stdout
    refused = stillroom(Place(tmp_path / "data2", ""), "restore", str(tmp_path / "b.zip"))
    assert refused.returncode == 2
    assert "its trail is not whole" in refused.stderr
    drilled = stillroom(place, "backup", "drill")
    assert (drilled.returncode, drilled.stdout.count("FAILED")) == (1, 1)


def test_a_file_that_is_there_is_not_written_over(place, tmp_path):
    file = tmp_path / "backup.zip"
    file.write_text("something else")
    done = stillroom(place, "backup", "make", str(file))
    assert done.returncode == 2
    assert "there is a file of that name" in done.stderr
    assert file.read_text() == "something else"
    missing = stillroom(place, "backup", "make", str(tmp_path / "no" / "b.zip"))
    assert missing.returncode == 2
    assert "cannot be written" in missing.stderr
    assert [path.name for path in tmp_path.iterdir() if path.name != "data"] == ["backup.zip"], (
        "nothing is left behind"
    )


def test_an_older_backup_never_takes_a_newer_logs_place_unseen(place, tmp_path):
    """The data directory is there, the database is lost, and the last backup is older than the checkpoints."""
    file = tmp_path / "backup.zip"
    made_of(place, file, "--with-keys")
    place.run(
        "import datetime\nfrom django.utils import timezone\n"
        "tomorrow = timezone.now() + datetime.timedelta(days=1)\ntimezone.now = lambda: tomorrow\n"
        "store.new_draft(organisation, user, title='later', inputs={})"
    )
    other = Place(tmp_path / "other", database() if place.url else "")
    try:
        other.data.mkdir()
        (place.data / "checkpoints").rename(other.data / "checkpoints")
        done = stillroom(other, "restore", str(file))
        assert done.returncode == 2
        assert "know of events that this backup does not hold" in done.stderr
        (other.data / "checkpoints").rename(tmp_path / "proof")
        again = stillroom(other, "restore", str(file))
        assert again.returncode == 0, again.stderr
        assert again.stderr == "", "the same key signs on"
        told = stillroom(other, "audit", "verify", STILLROOM_CHECKPOINTS=str(tmp_path / "proof"))
        assert told.returncode == 1
        assert "checkpoint signed at" in told.stdout, "what is lost stays known"
    finally:
        if other.url:
            drop(other.url)
