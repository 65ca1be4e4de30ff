"""``stillroom media``."""

from __future__ import annotations

import hashlib
import json
import sys
from dataclasses import asdict
from pathlib import Path

import click

__all__ = ["command"]


@click.group("media")
def command() -> None:
    """Filter media: shipped, and fitted to points of your own."""


@command.command("list")
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
def _list(as_json: bool) -> None:
    """The shipped media."""
    from stillroom import media

    every = [media.load(name) for name in media.names()]
    if as_json:
        click.echo(
            json.dumps([asdict(medium) for medium in every], ensure_ascii=False, indent=1, default=str)
        )
        return
    for medium in every:
        families = ", ".join(dict.fromkeys(item.family for item in medium.impregnations))
        click.echo(f"{medium.name:26} {medium.title}" + (f"  [for {families}]" if families else ""))


@command.command("show")
@click.argument("name")
def _show(name: str) -> None:
    """One medium, shipped or by file, with its intervals and sources."""
    from stillroom import media

    click.echo(json.dumps(asdict(media.load(name)), ensure_ascii=False, indent=1, default=str))


def _text(path: Path) -> str:
    from stillroom.errors import InputError, Problem

    try:
        return path.read_text("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(Problem("this is not text in UTF-8", "Save it as UTF-8.", file=path.name)) from None


_FILE = click.Path(path_type=Path, exists=True, dir_okay=False)
_OUT = click.Path(path_type=Path, dir_okay=False)


@command.command("fit")
@click.argument("points", type=_FILE)
@click.option("--name", required=True, help="Of the medium.")
@click.option("--out", required=True, type=_OUT, help="The medium's TOML file.")
def _fit(points: Path, name: str, out: Path) -> None:
    """A medium from measured points.

    POINTS is a table with the columns cas, temperature_K, partial_pressure_Pa, loading_g_per_g: any vapours, at any
    temperatures, grams of vapour per gram of dry medium.
    """
    from stillroom.cli.whole import write_file
    from stillroom.media.fitting import dumps, read_points

    read, remarks = read_points(_text(points), file=points.name)
    digest = hashlib.sha256(points.read_bytes()).hexdigest()
    write_file(out, dumps(read, name=name, digest=digest, remarks=remarks).encode())
    for words in remarks:
        click.echo(words, err=True)
    click.echo(f"{len(read.cas)} points of {len(set(read.cas))} vapours: {out}")


@command.command("calibrate")
@click.argument("medium")
@click.argument("certificates", nargs=-1, required=True, type=_FILE)
@click.option("--out", required=True, type=_OUT, help="The calibrated medium's TOML file.")
@click.option("--seed", default=1, show_default=True, help="Of the draws.")
def _calibrate(medium: str, certificates: tuple[Path, ...], out: Path, seed: int) -> None:
    """A medium's intervals narrowed by certificates of tests on samples of it.

    MEDIUM is a file, or a shipped name for a medium of that kind; CERTIFICATES are TOML files (docs/reference/media.md), one
    test each.
    """
    from stillroom.cli.whole import write_file
    from stillroom.services.calibrate import calibrate

    found = calibrate(medium, certificates, seed=seed)
    write_file(out, found.text.encode())
    for words in found.words:
        click.echo(words)
    click.echo(f"{out}")


@command.command("predict")
@click.argument("medium")
@click.argument("queries", type=_FILE)
@click.option("--out", required=True, type=_OUT, help="The answered table.")
@click.option("--seed", default=1, show_default=True, help="Of the draws.")
def _predict(medium: str, queries: Path, out: Path, seed: int) -> None:
    """What a medium holds, with 5 and 95 %.

    MEDIUM is a file made by `stillroom media fit`; another medium's file or a shipped name has wide intervals.

    QUERIES is a table with the columns mixture, cas, temperature_K, partial_pressure_Pa and, where wanted,
    relative_humidity (0 to 1). Rows with the same mixture are adsorbed together.

    Exit status: 0 done · 2 the input is wrong · 3 a row could not be answered.
    """
    from stillroom import media
    from stillroom.cli.whole import write_file
    from stillroom.media.fitting import answer, loads, prior

    known = media.load(medium)
    fitted = "" if medium in media.names() else _text(Path(medium))
    posteriors = loads(fitted, file=Path(medium).name) if "\n[fit]" in fitted else prior(known)
    found = answer(posteriors, _text(queries), file=queries.name, seed=seed, medium=known)
    write_file(out, found.text.encode())
    for words in found.remarks:
        click.echo(words, err=True)
    click.echo(f"{found.text.count(chr(10)) - 1} rows: {out}")
    if found.remarks:
        sys.exit(3)
