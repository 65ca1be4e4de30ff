"""``stillroom keys``."""

from __future__ import annotations

import json
from pathlib import Path

import click

from stillroom.cli.stored import data_option, open_database

__all__ = ["command"]


@click.group("keys")
def command() -> None:
    """The keys that sign validations, reviews and checkpoints."""


@command.command("list")
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
@data_option
def _list(as_json: bool, data: Path) -> int:
    """Every key of this installation, and how much it signed."""
    open_database(data)
    from stillroom.services.keys import listed

    rows = listed()
    if as_json:
        click.echo(json.dumps([row._asdict() for row in rows], indent=1))
        return 0
    for row in rows:
        word = "signs now" if row.signs_now else "earlier"
        click.echo(
            f"{row.id}  {word:9}  {row.validations} validations, {row.reviews} reviews, {row.checkpoints} checkpoints"
        )
    return 0


@command.command("rotate")
@click.option("--reason", required=True, help="Why; it stands in the trail.")
@data_option
def _rotate(reason: str, data: Path) -> int:
    """A new key signs from now on; what earlier keys signed still verifies.

    The private half of the key that signed until now is destroyed; its public half stays in trail-keys.txt.
    """
    if not reason.strip():
        raise click.UsageError("Say why with --reason.")
    open_database(data)
    from stillroom.services.keys import rotate

    old, new = rotate(reason.strip())
    click.echo(f"{new} signs now; {old} signed until now and still verifies. Back up trail-key again.")
    return 0
