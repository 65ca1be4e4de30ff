"""Another key: what earlier ones signed still verifies, the trail knows, and no cut in the middle leaves a key unknown."""

from __future__ import annotations

import json
import os
import time

import pytest
from click.testing import CliRunner

from stillroom.records import checkpoints, keys, models, statement, trail
from stillroom.services.audit import verify
from stillroom.services.keys import listed, rotate

pytestmark = pytest.mark.django_db


def test_what_earlier_keys_signed_still_verifies(rows, two):
    before = keys.own_key()
    old, new = rotate("the old server was sold")
    assert (old, new) == (before.id, keys.own_key().id) and old != new
    assert set(keys.public_keys()) == {old, new}
    assert statement.faults(rows["Validation"], keys.public_keys()) == []
    event = models.Event.objects.filter(log="installation").last()
    assert (event.action, event.subject, event.reason) == (
        "key.rotated", f"key:{new}", "the old server was sold",
    )  # fmt: skip
    assert json.loads(event.body) == {"signs_now": new, "signed_before": old}
    row = rows["Review"]
    statement.seal_review(row, keys.own_key())
    assert row.key_id == new and statement.review_faults(row, keys.public_keys()) == []
    assert [(key.id, key.signs_now, key.validations) for key in listed()] == [(old, False, 1), (new, True, 0)]
    assert verify().whole


def test_the_former_private_half_is_gone_and_the_file_is_its_owners_only(rows):
    rotate("a test")
    there = [file for file in keys.directory().iterdir() if file.is_file()]
    files = [file for file in there if b"PRIVATE" in file.read_bytes()]
    assert [file.name for file in files] == ["trail-key"]
    assert files[0].stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("cut", ["publish", "event", "replace"])
def test_cut_off_anywhere_no_unknown_key_signs(rows, monkeypatch, cut):
    before = keys.own_key().id

    def fails(*_, **__):
        raise OSError("a fault of the test")

    if cut == "publish":
        monkeypatch.setattr(keys, "publish", fails)
    elif cut == "event":
        monkeypatch.setattr(trail, "_extend", fails)
    else:
        monkeypatch.setattr(keys, "replace_own", fails)
    with pytest.raises(OSError, match="a fault"):
        rotate("a test")
    monkeypatch.undo()
    assert keys.own_key().id == before
    assert verify().whole
    assert rotate("again")[0] == before


def test_what_a_kill_left_half_written_goes_at_the_next_start(rows, two):
    checkpoints.keep_copies(two[0][0].key)
    folder = keys.directory() / "checkpoints"
    whole = {file.name for file in folder.iterdir()}
    left = [keys.directory() / "trail-key.123.new", folder / ".x-000000001.txt.123"]
    young = [keys.directory() / "trail-key.124.new", folder / ".x-000000001.txt.124"]
    for file in left + young:
        file.write_text("half")
    for file in left:
        os.utime(file, (time.time() - 3600,) * 2)
    own = keys.own_key().id
    keys.sweep()
    checkpoints.sweep()
    assert not any(file.exists() for file in left), "old ones go"
    assert all(file.exists() for file in young), "another process may be at it"
    assert whole <= {file.name for file in folder.iterdir()} and keys.own_key().id == own


def test_as_commands(rows, monkeypatch):
    from stillroom.cli.commands import keys as command

    monkeypatch.setattr(command, "open_database", lambda data: None)

    def run(*arguments):
        return CliRunner().invoke(command.command, arguments, standalone_mode=False)

    before = keys.own_key().id
    assert f"{before}  signs now  1 validations, 1 reviews" in run("list").output
    assert run("rotate").exception is not None, "a reason is asked for"
    assert keys.own_key().id == before
    done = run("rotate", "--reason", "yearly")
    assert done.exception is None and f"{before} signed until now" in done.output
    found = json.loads(run("list", "--json").output)
    assert [key["signs_now"] for key in found] == [False, True]
