"""`stillroom serve`: migrate, say where to go, and serve with waitress."""

from __future__ import annotations

import os
import secrets
import sys
from contextlib import suppress
from pathlib import Path

__all__ = ["begin", "prepare", "serve"]


def begin(data_dir: Path | str) -> None:
    """Make the data directory with its secret key, and set Django up; the database stays as it is."""
    os.umask(0o077)
    data = Path(data_dir).expanduser().resolve()
    data.mkdir(mode=0o700, parents=True, exist_ok=True)
    os.environ["STILLROOM_DATA"] = str(data)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stillroom.web.settings")
    if not os.environ.get("STILLROOM_SECRET_KEY"):
        _write_secret_key(data / "secret-key")
    import django

    django.setup()


def prepare(data_dir: Path | str) -> None:
    """Make the data directory with its secret key, set Django up, and bring the database up to date."""
    begin(data_dir)
    from django.core.management import call_command

    call_command("migrate", verbosity=0, interactive=False)
    call_command("clearsessions", verbosity=0)
    from stillroom.records import checkpoints, keys

    for sweep in (keys.sweep, checkpoints.sweep):
        with suppress(OSError):  # a second place for copies may be away
            sweep()


def _write_secret_key(file: Path) -> None:
    """A new key, readable by its owner only; one that is there stays."""
    try:
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return
    with os.fdopen(handle, "w", encoding="ascii") as out:
        out.write(secrets.token_urlsafe(64))


def serve(host: str, port: int, data_dir: Path | str) -> None:
    """Serve until stopped. At the first start a page makes the first user and their organisation.

    Parameters
    ----------
    host : str
        Address to listen on; 127.0.0.1 for this computer only.
    port : int
        Port to listen on [-].
    data_dir : Path or str
        Where database and secret key are kept; made where it is not there.
    """
    anywhere = host in ("0.0.0.0", "::")
    if not anywhere and host not in ("127.0.0.1", "localhost", "::1"):
        os.environ.setdefault("STILLROOM_HOSTS", host)
    prepare(data_dir)
    import waitress
    from django.conf import settings

    from stillroom.records.store import no_user_yet
    from stillroom.web import warm
    from stillroom.web.wsgi import application

    behind = {"trusted_proxy": "127.0.0.1", "trusted_proxy_headers": "x-forwarded-proto x-forwarded-for"}
    server = waitress.create_server(
        application,
        host=host,
        port=port,
        threads=4,
        max_request_body_size=settings.LARGEST_BODY,
        ident=None,
        clear_untrusted_proxy_headers=True,
        **(behind if settings.HTTPS else {}),
    )
    _say(f"Stillroom is at http://{'127.0.0.1' if anywhere else host}:{port}/")
    if anywhere and not os.environ.get("STILLROOM_HOSTS"):
        _say(
            "Set STILLROOM_HOSTS to the name that others reach it by; until then it answers this computer only."
        )
    if no_user_yet():
        _say("There is no user yet: the page makes the first one. Do it now.")
    warm.start()
    server.run()


def _say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)
