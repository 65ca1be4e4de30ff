"""``stillroom fleet``."""

from __future__ import annotations

import json
from datetime import date as Date
from pathlib import Path

import click

__all__ = ["command"]


@click.group("fleet")
def command() -> None:
    """Many cabinets at once."""


@command.command("assess")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Folder for the answers; FOLDER-assessed beside FOLDER where not given.",
)
@click.option("--workers", default=1, show_default=True, help="Processes at once.")
@click.option(
    "--resume/--afresh",
    default=True,
    show_default=True,
    help="Go on from what --out holds, or make everything again.",
)
@click.option(
    "--limits", multiple=True, metavar="LIST", help="Lists of limits in your order, for all cabinets."
)
@click.option("--papers", is_flag=True, help="Record, labels and shelf plan of each cabinet as PDF too.")
@click.option(
    "--date", "on", type=click.DateTime(["%Y-%m-%d"]), help="Of the assessments; today where not given."
)
@click.option("--seed", default=1, show_default=True, help="Of the Monte Carlo draws.")
@click.option("--draws", default=1000, show_default=True, help="Number of draws.")
@click.option("--invented", is_flag=True, help="Mark every paper as made from invented data.")
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
@click.pass_context
def _assess(
    ctx: click.Context,
    folder: Path,
    out: Path | None,
    workers: int,
    resume: bool,
    limits: tuple[str, ...],
    papers: bool,
    on: object,
    seed: int,
    draws: int,
    invented: bool,
    as_json: bool,
) -> None:
    """Assess every cabinet below FOLDER: a folder each, with inventory.csv or .xlsx, cabinet.toml, room.toml.

    Cabinet and room may lie in a folder above for all below it. A run that was cut off goes on where it was.
    Exit status: 2 where any input was wrong, else 1 where any is not approved, else 3 where any cannot be told.
    """
    from stillroom.cli.show import EXIT, table
    from stillroom.fleet import summary
    from stillroom.services.fleet import Options, assess_folder

    def progress(done: int, total: int, row: dict[str, object]) -> None:
        click.echo(f"{done}/{total}  {row['name']}  {row['verdict']}", err=True)

    day = on.date() if hasattr(on, "date") else Date.today()
    place = out if out is not None else folder.resolve().with_name(f"{folder.resolve().name}-assessed")
    options = Options(day, seed=seed, draws=draws, limits=limits, papers=papers, invented=invented)
    rows = assess_folder(folder, place, options, workers=workers, resume=resume, progress=progress)
    counts = summary(rows)
    if as_json:
        click.echo(json.dumps({"summary": counts, "cabinets": rows}, ensure_ascii=False, indent=1))
    else:
        shown = [
            (
                str(row["name"]),
                str(row["verdict"]),
                "–" if row.get("life_days_p05") is None else f"{row['life_days_p05']:.0f}",
                str(row.get("governing", "")),
                str(row.get("next_visit", "")),
                str(row.get("fault", "")).splitlines()[0] if row.get("fault") else "",
            )
            for row in rows
        ]
        click.echo(
            table(("cabinet", "verdict", "life", "governing", "next visit", "fault"), shown, widest=60)
        )
        click.echo("\n" + ", ".join(f"{count} {verdict}" for verdict, count in sorted(counts.items())))
        click.echo(f"Table and records: {place}")
    statuses = {int(row.get("exit_status", 0)) or EXIT.get(str(row["verdict"]), 2) for row in rows}
    ctx.exit(next((status for status in (2, 1, 3) if status in statuses), 0))


@command.command("make")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--count", default=20, show_default=True, help="Number of cabinets.")
@click.option("--seed", default=1, show_default=True, help="Same seed, same files.")
def _make(folder: Path, count: int, seed: int) -> None:
    """Write COUNT invented cabinets into FOLDER, to try things out."""
    from stillroom.fleet import make

    make(folder, count=count, seed=seed)
    click.echo(f"{count} invented cabinets in {folder}")
