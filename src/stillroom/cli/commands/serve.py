"""``stillroom serve``."""

from __future__ import annotations

from pathlib import Path

import click

from stillroom.cli.stored import web

__all__ = ["command"]


@click.command("serve")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--port", default=8000, show_default=True, type=click.IntRange(1, 65535), help="Port.")
@click.option(
    "--data",
    default=Path("~/.local/share/stillroom"),
    show_default=True,
    type=click.Path(path_type=Path),
    help="Folder for the database, the files and the key.",
)
def command(host: str, port: int, data: Path) -> None:
    """The web application; the first visitor makes the first user."""
    from stillroom.errors import StillroomError

    try:
        web("serve").serve(host, port, data)
    except OSError as error:
        mend = "Choose another with --port, or another folder with --data."
        raise StillroomError(
            f"cannot listen on {host}:{port} or use {data} ({error.strerror}). {mend}"
        ) from None
