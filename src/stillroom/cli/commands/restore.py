"""``stillroom restore``."""

from __future__ import annotations

import json
from pathlib import Path

import click

from stillroom.cli.show import contents_lines
from stillroom.cli.stored import data_option, web
from stillroom.errors import StillroomError

__all__ = ["command"]


@click.command("restore")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--reason", default="restored from a backup", show_default=True, help="Why; it stands in the trail."
)
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
@data_option
def command(file: Path, reason: str, as_json: bool, data: Path) -> int:
    """Put the backup FILE back: everything in one transaction, checked before it is kept, or nothing.

    Into a new folder (--data) or a new PostgreSQL database (DATABASE_URL); one with rows is refused.
    """
    if not reason.strip():
        raise click.UsageError("Say why with --reason.")
    serve = web("serve")
    serve.begin(data)
    from django.db import DatabaseError

    from stillroom.services.restore import refuse_rows, restore

    try:
        refuse_rows()  # before the tables of a database that is in use are touched
        serve.prepare(data)
        done = restore(file, actor="stillroom restore", reason=reason.strip())
    except DatabaseError as error:
        raise StillroomError(f"the database failed ({error}). Nothing was kept; run it again.") from None
    if as_json:
        said = done.contents.plain() | {
            "signs_now": done.signs_now,
            "same_key": done.same_key,
            "lists_left": done.lists_left,
            "whole": done.report.whole,
        }
        click.echo(json.dumps(said, ensure_ascii=False, indent=1))
    else:
        for line in contents_lines(done.contents):
            click.echo(line)
        click.echo("Every row is as the backup has it. Whole.")
    if not done.same_key:
        click.echo(
            f"The private key is not here: {done.signs_now} signs from now on; what earlier keys signed still verifies.",
            err=True,
        )
    for path in done.lists_left:
        click.echo(f"{path} is another list of limits than the backup's; it stays.", err=True)
    return 0
