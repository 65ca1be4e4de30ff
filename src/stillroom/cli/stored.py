"""Open what `stillroom serve` stores, for commands that look at it."""

from __future__ import annotations

import os
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Any

import click

from stillroom.errors import StillroomError

__all__ = ["data_option", "open_database", "set_up", "web"]


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


def set_up(data: Path) -> None:
    """Set Django up on the data directory; whether there is a database is not asked.

    Raises
    ------
    StillroomError
        The web application is not installed.
    """
    os.environ["STILLROOM_DATA"] = str(data.expanduser().resolve())
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stillroom.web.settings")
    try:
        import django

        django.setup()
    except ImportError as error:
        raise StillroomError(_WITHOUT_WEB.format(error)) from None


def web(module: str) -> Any:
    """A module of the web application.

    Raises
    ------
    StillroomError
        It is not installed.
    """
    try:
        return import_module(f"stillroom.web.{module}")
    except ImportError as error:
        raise StillroomError(_WITHOUT_WEB.format(error)) from None


_WITHOUT_WEB = "the web application is not installed ({}). Run: pip install stillroom[web]"


def open_database(data: Path) -> None:
    """Set Django up on the data directory; nothing is made or changed there.

    Raises
    ------
    StillroomError
        The web application is not installed, or there is no database.
    """
    set_up(data)
    from django.conf import settings

    folder = settings.DATA
    database = settings.DATABASES["default"]
    if database["ENGINE"].endswith("sqlite3") and not Path(database["NAME"]).is_file():
        raise StillroomError(
            f"there is no database in {folder}. Name its folder with --data, or start “stillroom serve” first."
        )
