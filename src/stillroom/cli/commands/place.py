"""``stillroom place``."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

import click

__all__ = ["command"]


@click.command("place")
@click.argument("inventory", type=click.Path(path_type=Path))
@click.option("--cabinet", required=True, help="CABINET file, or the name of a shipped generic cabinet.")
@click.option("--seed", default=1, show_default=True, help="Same seed, same plan.")
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
@click.pass_context
def command(ctx: click.Context, inventory: Path, cabinet: str, seed: int, as_json: bool) -> None:
    """Where everything stands: INVENTORY in, a place for each container out. It does not say that it may be there."""
    from stillroom.cabinet.load import load_cabinet
    from stillroom.inventory import read
    from stillroom.segregation import conflicts, place, remarks

    contents = read(inventory)
    known = tuple(item for item in contents.containers if item.known)
    found = conflicts(known)
    plan = place(known, load_cabinet(cabinet), found, seed=seed, seconds=3.0)
    names = {item.key: item.name for item in contents.containers}
    if as_json:
        click.echo(json.dumps(asdict(plan), ensure_ascii=False, indent=1))
    else:
        for one in sorted(plan.placed, key=lambda item: (item.compartment, item.shelf, item.tray, item.x)):
            tray = f", tray {one.tray}" if one.tray else ""
            click.echo(f"compartment {one.compartment}, shelf {one.shelf}{tray}: {names[one.container]}")
        for key, reason in plan.not_placed:
            click.echo(f"NOT placed: {names[key]}: {reason}")
        for conflict in plan.unsolved:
            click.echo(f"NOT solved: {' + '.join(conflict.names)}: {conflict.consequence}")
        for words in remarks(known):
            click.echo(f"May stand together, not to be mixed: {words}")
        unknown = len(contents.containers) - len(known)
        if unknown:
            click.echo(f"{unknown} rows of unknown contents were not placed.")
        click.echo("Whether it may be there is another question: stillroom assess.")
    ctx.exit(1 if plan.unsolved or plan.not_placed or len(known) < len(contents.containers) else 0)
