"""``stillroom assess``."""

from __future__ import annotations

from datetime import date as Date
from pathlib import Path

import click

__all__ = ["command"]


@click.command("assess")
@click.argument("inventory", type=click.Path(path_type=Path))
@click.option("--cabinet", required=True, help="CABINET file, or the name of a shipped generic cabinet.")
@click.option("--room", required=True, type=click.Path(path_type=Path), help="ROOM file.")
@click.option(
    "--limits", multiple=True, metavar="LIST", help="Lists of limits in your order; may be repeated."
)
@click.option(
    "--ordering",
    type=click.Choice(["strictest", "first"]),
    help="Strictest of the lists, or the first that has one.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Folder for record.json, record.pdf, label.pdf, shelves.pdf.",
)
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
@click.option(
    "--date", "on", type=click.DateTime(["%Y-%m-%d"]), help="Date of the assessment; today where not given."
)
@click.option("--title", default="", help="Whose cabinet, for the papers.")
@click.option("--seed", default=1, show_default=True, help="Of the Monte Carlo draws.")
@click.option("--draws", default=1000, show_default=True, help="Number of draws.")
@click.option("--url", default="", help="Base address for the label's link.")
@click.pass_context
def command(
    ctx: click.Context,
    inventory: Path,
    cabinet: str,
    room: Path,
    limits: tuple[str, ...],
    ordering: str | None,
    out: Path | None,
    as_json: bool,
    on: object,
    title: str,
    seed: int,
    draws: int,
    url: str,
) -> None:
    """Decide what may be kept in a cabinet: INVENTORY (CSV or XLSX) in; verdict, record, label, shelf plan out."""
    from stillroom.cli.files import run

    day = on.date() if hasattr(on, "date") else Date.today()
    ctx.exit(
        run(
            inventory,
            cabinet=cabinet,
            room=room,
            limits=limits,
            ordering=ordering,
            out=out,
            as_json=as_json,
            date=day,
            title=title,
            seed=seed,
            draws=draws,
            url=url,
        )
    )
