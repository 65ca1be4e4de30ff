"""Open what `stillroom serve` stores, for commands that look at it."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from stillroom.errors import StillroomError

__all__ = ["data_option", "open_database"]


def data_option(function: Callable[..., Any]) -> Callable[..., Any]:
    """``--data``: where the database lies, as for `stillroom serve`."""
    return click.option(
        "--data",
        default=Path("~/.local/share/stillroom"),
        show_default=True,
        envvar="STILLROOM_DATA",
        type=click.Path(path_type=Path),
        help="Folder of the database, the files and the keys.",
    )(function)


def open_database(data: Path) -> None:
    """Set Django up on the data directory; nothing is made or changed there.

    Raises
    ------
    StillroomError
        The web application is not installed, or there is no database.
    """
    folder = data.expanduser().resolve()
    os.environ["STILLROOM_DATA"] = str(folder)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stillroom.web.settings")
    try:
        import django
        from django.conf import settings

        django.setup()
    except ImportError as error:
        raise StillroomError(
            f"the web application is not installed ({error}). Run: pip install stillroom[web]"
        ) from None
    database = settings.DATABASES["default"]
    if database["ENGINE"].endswith("sqlite3") and not Path(database["NAME"]).is_file():
        raise StillroomError(
            f"there is no database in {folder}. Name its folder with --data, or start “stillroom serve” first."
        )
