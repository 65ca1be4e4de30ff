"""``stillroom demo``."""

from __future__ import annotations

import datetime
import shlex
from importlib import resources
from pathlib import Path

import click

__all__ = ["command"]

_TITLE = "Museum of Small Things (invented)"
_SCENES = (
    ("inventory-asked.csv", "room.toml", "asked", "conservation workshop, as asked"),
    ("inventory-studio.csv", "room-studio.toml", "studio", "picture studio beside the varnishing room"),
    ("inventory.csv", "room.toml", "", "conservation workshop, as revised"),
)
"""inventory, room, folder under OUT, title"""
_DATE = datetime.date(2026, 11, 2)


@click.command("demo")
@click.option(
    "--out", default="out", show_default=True, type=click.Path(path_type=Path), help="Folder for the papers."
)
@click.option(
    "--today", type=click.DateTime(["%Y-%m-%d"]), help="The day after the year; today where not given."
)
def command(out: Path, today: datetime.datetime | None) -> None:
    """The demo scenario, end to end: what a museum asked for is refused in part, the rest is approved.

    All of it is invented. The request as it came goes to OUT/asked, a second cabinet, whose filter a dirty room and a
    low limit wear out within the year, to OUT/studio, what is left of the request to OUT, and a year of all of them,
    as kept in the web application, to OUT/year.
    """
    from stillroom.cli.files import run
    from stillroom.cli.year import replaceable, start

    day = datetime.date.today() if today is None else today.date()
    if day > datetime.date.today():
        raise click.BadParameter("lies in the future; give today or a day before.", param_hint="--today")
    year = out / "year"
    replaceable(year)
    playing = start(out, day)
    with playing:
        with resources.as_file(resources.files("stillroom.cli") / "demo") as files:
            for inventory, room, folder, title in _SCENES:
                run(
                    files / inventory,
                    cabinet=str(files / "cabinet.toml"),
                    room=files / room,
                    out=out / folder,
                    date=_DATE,
                    title=f"{_TITLE}: {title}",
                    invented=True,
                )
                click.echo("")
        playing.finish(year)
    click.echo(
        f"Papers: {out}/record.pdf, {out}/label.pdf, {out}/shelves.pdf; the same in {out}/asked and {out}/studio"
    )
    click.echo(
        f"The year: {year}/story.txt and papers; who may log in, with passwords made just now: {year}/log-in.txt"
    )
    click.echo(f"Open it:  stillroom serve --data {shlex.quote(str(year))}")
