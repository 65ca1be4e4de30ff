"""``stillroom limits``."""

from __future__ import annotations

import json
import os
from dataclasses import asdict
from pathlib import Path

import click

from stillroom.cli.stored import data_option

__all__ = ["command"]


@click.group("limits")
def command() -> None:
    """Lists of exposure limits."""


@command.command("list")
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
def _list(as_json: bool) -> None:
    """The lists that can be chosen, with their editions."""
    from stillroom.substances import limits

    entries = limits.lists()
    if as_json:
        click.echo(
            json.dumps([asdict(entry) for entry in entries], ensure_ascii=False, indent=1, default=str)
        )
        return
    for entry in entries:
        mark = " (your own)" if entry.own else ""
        click.echo(f"{entry.key:16} {entry.title}, {entry.edition}{mark}")
    for fault in limits.broken():
        click.echo(f"not usable: {fault}", err=True)


@command.command("show")
@click.argument("which")
@click.option(
    "--limits", "keys", multiple=True, metavar="LIST", help="Lists in your order; all where not given."
)
@click.option("--ordering", type=click.Choice(["strictest", "first"]), default="strictest", show_default=True)
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
def _show(which: str, keys: tuple[str, ...], ordering: str, as_json: bool) -> None:
    """The limits of WHICH (CAS number or name), and the one that would be used."""
    from stillroom.cli.find import find
    from stillroom.substances import limits
    from stillroom.substances.model import Ordering

    found = find(which)
    assert found.substance is not None
    choice = limits.choose(
        found.substance.cas,
        lists=keys or tuple(entry.key for entry in limits.lists()),
        ordering=Ordering(ordering),
    )
    if as_json:
        click.echo(json.dumps(asdict(choice), ensure_ascii=False, indent=1, default=str))
        return
    click.echo(f"{found.substance.name}  CAS {found.substance.cas}")
    for limit in choice.all:
        used = "*" if limit == choice.criterion else " "
        what = f" as {limit.measured_as}" if limit.measured_as else ""
        click.echo(
            f"{used} {limit.list:16} {limit.basis:5} {limit.value:g} {limit.unit}{what}  {limit.locator}"
        )
    for reason in choice.reasons:
        click.echo(f"  {reason}")
    if choice.criterion is None:
        click.echo("  no limit: it would not be approved without one")


@command.command("load")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--confirmed", is_flag=True, help="You have seen what looks like a slip, and stand by it.")
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
@data_option
def _load(file: Path, confirmed: bool, as_json: bool, data: Path) -> None:
    """Load FILE, a list of your own, so that it can be chosen by its key; a newer edition takes the older one's place.

    It is kept in STILLROOM_LIMITS, else in the data directory. docs/reference/limits.md has the file's form.
    """
    os.environ["STILLROOM_DATA"] = str(data.expanduser())
    from stillroom.errors import InputError, Problem
    from stillroom.services.load_limits import load_limits
    from stillroom.substances.limits import NeedsConfirmation

    try:
        content = file.read_bytes()
    except OSError as error:
        mend = "Check the path."
        raise InputError(Problem(f"cannot be read ({error.strerror})", mend, file=str(file))) from None
    try:
        loaded = load_limits(content, file=str(file), confirmed=confirmed)
    except NeedsConfirmation as error:
        click.echo("If this is right as it stands, load it again with --confirmed.", err=True)
        raise error
    for problem in loaded.confirmed:
        click.echo(f"confirmed: {problem}", err=True)
    entry = loaded.list
    if as_json:
        words = {"key": entry.key, "title": entry.title, "edition": entry.edition, "limits": loaded.count}
        words |= {"sha256": loaded.sha256, "file": str(loaded.file), "replaced_edition": loaded.replaced}
        click.echo(json.dumps(words, ensure_ascii=False, indent=1))
        return
    click.echo(f"{entry.key}: {entry.title}, {entry.edition}; {loaded.count} limits, in {loaded.file}")
    if loaded.unchanged:
        click.echo("The same file was loaded before; nothing changed.")
    elif loaded.replaced:
        click.echo(f"It takes the place of the edition “{loaded.replaced}”, which is kept in “earlier”.")
        if loaded.replaced == entry.edition:
            click.echo("Both say the same edition and differ: give each its own.", err=True)
        click.echo("Next: stillroom recheck names the validations that would come out differently.")
    else:
        click.echo(f"Next: stillroom assess … --limits {entry.key}")
