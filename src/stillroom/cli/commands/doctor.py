"""``stillroom doctor``."""

from __future__ import annotations

import json
from pathlib import Path

import click

from stillroom.cli.stored import data_option, open_database

__all__ = ["command"]


@click.command("doctor")
@click.option("--db", is_flag=True, help="Look at the database: settings, journal, disk, triggers, tables.")
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
@data_option
def command(db: bool, as_json: bool, data: Path) -> int:
    """Is everything set up as it must be? Exit status 1 where it is not.

    Looks only; nothing is changed.
    """
    if not db:
        raise click.UsageError("Say what to look at: --db.")
    open_database(data)
    from django.db import connection

    from stillroom.records.health import examine

    answers = examine(connection)
    wrong = [answer for answer in answers if answer.right is False]
    if as_json:
        click.echo(json.dumps([answer._asdict() for answer in answers], ensure_ascii=False, indent=1))
        return bool(wrong)
    for answer in answers:
        word = {True: "right", False: "WRONG", None: "cannot tell"}[answer.right]
        click.echo(f"{answer.what:22} {word:12} {answer.found}")
    for answer in wrong:
        click.echo(f"\n{answer.what}: {answer.mend}", err=True)
    return bool(wrong)
