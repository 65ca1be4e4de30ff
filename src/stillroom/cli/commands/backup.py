"""``stillroom backup``."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stillroom.cli.show import contents_lines
from stillroom.cli.stored import data_option, open_database, set_up

if TYPE_CHECKING:
    from stillroom.services.audit import Report
    from stillroom.services.backup import Contents

__all__ = ["command"]

_FILE = click.Path(dir_okay=False, path_type=Path)
_JSON = click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)


@click.group("backup")
def command() -> None:
    """Everything that is stored, in one file that either engine takes back (`stillroom restore`)."""


@command.command("make")
@click.argument("file", type=_FILE)
@click.option(
    "--with-keys", is_flag=True,
    help="The private key too: whoever holds the file can then sign as this installation.",
)  # fmt: skip
@_JSON
@data_option
def _make(file: Path, with_keys: bool, as_json: bool, data: Path) -> int:
    """Write a backup of this moment to FILE, while others go on writing, and read it back.

    FILE holds every organisation's data and the hashes of passwords: keep it where only you can read it.

    Exit status 0: done and whole · 1: done, and the trail is not whole (the file is evidence, and is not restored).
    """
    open_database(data)
    from stillroom.services.backup import make

    contents, report = make(file.absolute(), with_keys=with_keys)
    _say(contents, report, as_json)
    if not with_keys:
        click.echo(
            "The private key (trail-key) is not inside: keep a copy of it apart, or the restored installation signs with a new one.",
            err=True,
        )
    return int(not report.whole)


@command.command("check")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--checkpoint", "checkpoints", multiple=True, type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="A checkpoint kept elsewhere; may be given several times.",
)  # fmt: skip
@_JSON
def _check(file: Path, checkpoints: Sequence[Path], as_json: bool) -> int:
    """Is the backup whole: every byte, every row against its events, the chain? No database is needed.

    Exit status 0: whole · 1: its trail is not whole · 2: the file is damaged or no backup.
    """
    set_up(Path(tempfile.gettempdir()))
    from stillroom.records.notes import parse
    from stillroom.services.backup import open_backup, read_whole

    kept = [parse(one.read_text("utf-8", "replace"), file=str(one)) for one in checkpoints]
    with open_backup(file) as backup:
        contents, report = read_whole(backup, kept=kept)
    _say(contents, report, as_json)
    return int(not report.whole)


def _say(contents: Contents, report: Report, as_json: bool) -> None:
    if as_json:
        said = {"findings": [one._asdict() for one in report.findings], "whole": report.whole}
        click.echo(json.dumps(contents.plain() | said, ensure_ascii=False, indent=1))
        return
    for line in contents_lines(contents):
        click.echo(line)
    for finding in report.findings:
        click.echo(f"  {finding}")
    click.echo("Whole." if report.whole else f"NOT whole: {len(report.findings)} finding(s).")


# -- drill --


@command.command("drill")
@_JSON
@data_option
def _drill(as_json: bool, data: Path) -> int:
    """Make a backup of the live database, restore it into a new one beside it, check that, and throw both away.

    Others may write meanwhile. The trail says that it was done and how it went. Exit status 0: everything came back · 1: it did not.
    """
    open_database(data)
    from stillroom.records import trail
    from stillroom.services.backup import make

    begun = time.perf_counter()
    with tempfile.TemporaryDirectory(prefix="stillroom-drill-") as folder:
        file, copy = Path(folder) / "backup.zip", Path(folder) / "data"
        contents, report = make(file, with_keys=True)
        steps = {
            "restore": _run("restore", str(file), "--data", str(copy), "--json"),
            "audit verify": _run("audit", "verify", "--data", str(copy), "--json"),
            "doctor --db": _run("doctor", "--db", "--data", str(copy), "--json"),
        }
    failed = [name for name, (status, _) in steps.items() if status]
    with trail.writing(None, "stillroom backup drill", reason="whether a backup can be restored") as write:
        write.say(
            "backup.drilled",
            "backup",
            backup=contents.sha256,
            rows=contents.rows,
            came_back=not failed,
            logs={log.name: log.size for log in contents.logs},
        )
    seconds = time.perf_counter() - begun
    if as_json:
        said = {"contents": contents.plain(), "failed": failed, "seconds": round(seconds, 2)}
        click.echo(json.dumps(said, ensure_ascii=False, indent=1))
        return int(bool(failed))
    _say(contents, report, as_json=False)
    for name, (status, words) in steps.items():
        click.echo(f"{name:14} {'FAILED' if status else 'right'}")
        if status:
            click.echo(words, err=True)
    click.echo(f"{'NOT everything' if failed else 'Everything'} came back; {seconds:.1f} s.")
    return int(bool(failed))


def _run(*words: str) -> tuple[int, str]:
    """A command in a process of its own, on SQLite and without the installation's environment; status and what it said."""
    own = ("DATABASE_URL", "STILLROOM_CHECKPOINTS", "STILLROOM_LIMITS", "STILLROOM_DATA")
    done = subprocess.run(
        [sys.executable, "-c", "from stillroom.cli.main import main; main()", *words],
        env={name: value for name, value in os.environ.items() if name not in own},
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, (done.stderr or done.stdout)[-4000:]
