"""``stillroom media``."""

from __future__ import annotations

import json
from dataclasses import asdict

import click

__all__ = ["command"]


@click.group("media")
def command() -> None:
    """Filter media."""


@command.command("list")
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
def _list(as_json: bool) -> None:
    """The shipped media."""
    from stillroom import media

    every = [media.load(name) for name in media.names()]
    if as_json:
        click.echo(
            json.dumps([asdict(medium) for medium in every], ensure_ascii=False, indent=1, default=str)
        )
        return
    for medium in every:
        families = ", ".join(dict.fromkeys(item.family for item in medium.impregnations))
        click.echo(f"{medium.name:26} {medium.title}" + (f"  [for {families}]" if families else ""))


@command.command("show")
@click.argument("name")
def _show(name: str) -> None:
    """One medium, shipped or by file, with its intervals and sources."""
    from stillroom import media

    click.echo(json.dumps(asdict(media.load(name)), ensure_ascii=False, indent=1, default=str))
