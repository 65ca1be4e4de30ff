"""``stillroom demo``."""

from __future__ import annotations

from datetime import date as Date
from importlib import resources
from pathlib import Path

import click

__all__ = ["command"]

_TITLE = "Museum of Small Things (invented): conservation workshop"
_DATE = Date(2026, 11, 2)


@click.command("demo")
@click.option(
    "--out", default="out", show_default=True, type=click.Path(path_type=Path), help="Folder for the papers."
)
def command(out: Path) -> None:
    """The demo scenario, end to end: what a museum asked for is refused in part, the rest is approved.

    All of it is invented. The request as it came goes to OUT/asked, what is left of it to OUT.
    """
    from stillroom.cli.files import run

    folder = resources.files("stillroom.cli") / "demo"
    with resources.as_file(folder) as files:
        for name, target, title in (
            ("inventory-asked.csv", out / "asked", f"{_TITLE}, as asked"),
            ("inventory.csv", out, f"{_TITLE}, as revised"),
        ):
            run(
                files / name,
                cabinet=str(files / "cabinet.toml"),
                room=files / "room.toml",
                out=target,
                date=_DATE,
                title=title,
                invented=True,
            )
            click.echo("")
    click.echo(f"Papers: {out}/record.pdf, {out}/label.pdf, {out}/shelves.pdf (and as asked in {out}/asked)")
