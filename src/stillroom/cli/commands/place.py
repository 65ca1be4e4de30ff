"""``stillroom place``."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from stillroom.segregation import Placed, Settled

__all__ = ["command"]


@click.command("place")
@click.argument("inventory", type=click.Path(path_type=Path))
@click.option(
    "--cabinet",
    "cabinets",
    required=True,
    multiple=True,
    help="CABINET file, or the name of a shipped generic cabinet; several times for several cabinets.",
)
@click.option("--seed", default=1, show_default=True, help="Same seed, same plan.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder for the plan as a table and the drawings (SVG).",
)
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
@click.pass_context
def command(
    ctx: click.Context, inventory: Path, cabinets: tuple[str, ...], seed: int, out: Path | None, as_json: bool
) -> None:
    """Where everything stands: INVENTORY in, a place for each container out. It does not say that it may be there."""
    from stillroom.cabinet.load import load_cabinet
    from stillroom.inventory import read
    from stillroom.segregation import remarks
    from stillroom.services.place import drawings, placed

    contents = read(inventory)
    houses = [load_cabinet(name) for name in cabinets]
    settled = placed(contents.containers, houses, seed=seed)
    names = {item.key: item.name for item in contents.containers}
    if out:
        out.mkdir(parents=True, exist_ok=True)
        for name, drawing in drawings(settled, houses).items():
            (out / name).write_bytes(drawing)
        (out / "plan.csv").write_text(_table(settled.plan.placed, names), "utf-8")
    unknown = [item.name for item in contents.containers if not item.known]
    if as_json:
        document = asdict(settled)
        click.echo(json.dumps(document.pop("plan") | document, ensure_ascii=False, indent=1))
    else:
        for line in _lines(settled, names, several=len(houses) > 1):
            click.echo(line)
        for words in remarks([item for item in contents.containers if item.known]):
            click.echo(f"May stand together, not to be mixed: {words}")
        if unknown:
            click.echo(f"NOT placed, for unknown contents: {'; '.join(unknown)}")
        click.echo("Whether it may be there is another question: stillroom assess.")
        if out:
            click.echo(f"Plan and drawings: {out}")
    ctx.exit(1 if settled.elsewhere or settled.plan.not_placed or unknown else 0)


def _lines(settled: Settled, names: Mapping[str, str], *, several: bool) -> Iterator[str]:
    """The plan from the bottom up, then what has no place in it and what would take it."""
    from stillroom.segregation import said

    lines = (
        (f"cabinet {one.cabinet + 1}, " if several else "") + f"{_place(one)}: {names[one.container]}"
        for one in _ordered(settled.plan.placed)
    )
    yield from dict.fromkeys(lines)
    for key, reason in settled.plan.not_placed:
        yield f"NOT placed: {names[key]}: {reason}"
    for key, reasons in settled.elsewhere.items():
        by_consequence: dict[str, list[str]] = {}
        for item in reasons:
            other = item.second if key == item.first else item.first
            by_consequence.setdefault(item.consequence, []).append(names[other])
        for consequence, others in by_consequence.items():
            yield f"NOT here: {names[key]}, beside {'; '.join(others)}: {consequence}"
    yield from said(settled.further, names)


def _ordered(placed: Sequence[Placed]) -> list[Placed]:
    return sorted(placed, key=lambda item: (item.cabinet, item.compartment, item.shelf, item.tray, item.x))


def _place(one: Placed) -> str:
    tray = f", tray {one.tray}" if one.tray else ""
    return f"compartment {one.compartment}, shelf {one.shelf}{tray}"


def _table(placed: Sequence[Placed], names: Mapping[str, str]) -> str:
    """One row a container, as CSV."""
    from stillroom.units.files import plain_cell

    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(["cabinet", "compartment", "shelf", "tray", "label", "name", "copy", "x_m", "y_m"])
    for one in _ordered(placed):
        place = (one.cabinet + 1, one.compartment, one.shelf, one.tray or "")
        row = (*place, one.label, names[one.container], one.copy, round(one.x, 3), round(one.y, 3))
        writer.writerow([plain_cell(cell) for cell in row])
    return file.getvalue()
