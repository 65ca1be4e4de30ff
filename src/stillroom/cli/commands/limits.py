"""``stillroom limits``."""

from __future__ import annotations

import json
from dataclasses import asdict

import click

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
        click.echo(f"{entry.key:16} {entry.title}, {entry.edition}")


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
