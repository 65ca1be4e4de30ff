"""From files to a verdict and papers in a folder: what `assess` and `demo` share."""

from __future__ import annotations

from dataclasses import replace
from datetime import date as Date
from pathlib import Path

import click

from stillroom.assessment.record import Record
from stillroom.errors import InputError, Problem

__all__ = ["run", "write"]


def run(
    inventory: Path,
    *,
    cabinet: str,
    room: Path,
    limits: tuple[str, ...] = (),
    ordering: str | None = None,
    out: Path | None = None,
    as_json: bool = False,
    date: Date,
    title: str = "",
    seed: int = 1,
    draws: int = 1000,
    url: str = "",
    invented: bool = False,
) -> int:
    """Assess, print, write; gives the exit status."""
    from stillroom.cabinet.load import load_cabinet
    from stillroom.cli.show import EXIT, verdict
    from stillroom.inventory import read
    from stillroom.room.load import load_room
    from stillroom.services.assess import assess

    click.echo(f"reading {inventory}", err=True)
    contents = read(inventory)
    for column, header in contents.reading.items():
        click.echo(f"  {column}: {header}", err=True)
    place = load_room(room)
    if limits:
        place = replace(place, limit_lists=limits)
    if ordering:
        place = replace(place, limit_ordering=ordering)
    record = assess(
        contents,
        load_cabinet(cabinet),
        place,
        date=date,
        title=title or Path(inventory).stem,
        seed=seed,
        draws=draws,
        invented=invented,
    )
    if out is not None:
        write(record, out, url=url)
    if as_json:
        from stillroom.services.papers import as_json as to_json

        click.echo(to_json(record).decode(), nl=False)
    else:
        verdict(record)
    return EXIT[record["verdict"]]


def write(record: Record, out: Path, *, url: str = "") -> None:
    """Every paper of `record` into the folder `out`, each file whole or not at all."""
    from stillroom.fleet.journal import write_whole
    from stillroom.services.papers import papers

    try:
        out.mkdir(parents=True, exist_ok=True)
        for name, content in papers(record, base_url=url).items():
            write_whole(out / name, content)
            click.echo(f"wrote {out / name}", err=True)
    except OSError as error:
        mend = "Choose a folder that can be written with --out."
        raise InputError(Problem(f"cannot be written ({error.strerror})", mend, file=str(out))) from None
