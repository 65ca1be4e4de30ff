"""``stillroom demo``."""

from __future__ import annotations

from datetime import date as Date
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
_DATE = Date(2026, 11, 2)


@click.command("demo")
@click.option(
    "--out", default="out", show_default=True, type=click.Path(path_type=Path), help="Folder for the papers."
)
def command(out: Path) -> None:
    """The demo scenario, end to end: what a museum asked for is refused in part, the rest is approved.

    All of it is invented. The request as it came goes to OUT/asked, a second cabinet, whose filter a dirty room and a
    low limit wear out within the year, to OUT/studio, what is left of the request to OUT.
    """
    from stillroom.cli.files import run

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
    click.echo(
        f"Papers: {out}/record.pdf, {out}/label.pdf, {out}/shelves.pdf; the same in {out}/asked and {out}/studio"
    )
