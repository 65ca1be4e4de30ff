"""``stillroom capacity``."""

from __future__ import annotations

import datetime
import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import click

__all__ = ["command"]


@click.command("capacity")
@click.argument("medium")
@click.option("--layers", default=1, show_default=True, type=click.IntRange(1, 4), help="In series.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the listing: .csv, .pdf or .json by its ending.",
)
@click.option("--ppm", default=100.0, show_default=True, type=click.FloatRange(1e-3, 1e5), help="Of each substance by itself.")  # fmt: skip
@click.option("--humidity", default=40.0, show_default=True, type=click.FloatRange(0.0, 100.0), help="Relative, in per cent.")  # fmt: skip
@click.option("--celsius", default=22.0, show_default=True, type=click.FloatRange(-10.0, 60.0), help="Of the air.")  # fmt: skip
@click.option("--flow", default=160.0, show_default=True, type=click.FloatRange(1.0, 1e4), help="Air, in m³/h.")  # fmt: skip
@click.option("--mass", default=4.0, show_default=True, type=click.FloatRange(0.05, 200.0), help="Of one layer, in kg.")  # fmt: skip
@click.option("--area", default=0.25, show_default=True, type=click.FloatRange(0.005, 5.0), help="Of a layer, in m².")  # fmt: skip
@click.option("--end", type=click.FloatRange(0.01, 50.0), help="Outlet in per cent of the inlet; 1 % of each limit where not given.")  # fmt: skip
@click.option("--limits", "lists", multiple=True, metavar="LIST", help="Lists of limits for the end; all that are shipped where not given.")  # fmt: skip
@click.option("--substance", "substances", multiple=True, metavar="CAS", help="Of these alone; several times for several.")  # fmt: skip
@click.option("--date", type=click.DateTime(["%Y-%m-%d"]), help="On the PDF; today where not given.")
@click.option("--seed", default=1, show_default=True, help="Same seed, same listing.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else.")  # fmt: skip
def command(
    medium: str, layers: int, out: Path | None, ppm: float, humidity: float, celsius: float, flow: float, mass: float, area: float,
    end: float | None, lists: tuple[str, ...], substances: tuple[str, ...], date: datetime.datetime | None, seed: int, as_json: bool,
) -> None:  # fmt: skip
    """What the layers of MEDIUM hold of each substance by itself, at stated conditions.

    MEDIUM is a shipped medium's name or a file. A comparison of media, no service life: a cabinet's air holds far
    less, of many vapours at once.
    """
    from stillroom import media
    from stillroom.assessment.listing import Conditions
    from stillroom.errors import InputError, Problem
    from stillroom.services.capacity import capacity
    from stillroom.substances import check_digit

    wrong = [text for text in substances if not check_digit(text)]
    if wrong:
        raise InputError(Problem("this is no CAS number", "Write it as 108-88-3.", found=wrong[0]))
    conditions = Conditions(
        ppm=ppm,
        relative_humidity=humidity / 100.0,
        temperature=celsius + 273.15,
        flow=flow / 3600.0,
        mass=mass,
        area=area,
        end=None if end is None else end / 100.0,
        lists=lists,
    )
    found = capacity(
        media.load(medium), layers=layers, conditions=conditions, cas=substances or None, seed=seed
    )
    day = (date or datetime.datetime.now()).date().isoformat()
    if out:
        _write(out, found, day)
    if as_json:
        click.echo(json.dumps(found, ensure_ascii=False, indent=1))
        return
    if not out:
        click.echo(_shown(found))
    missing = [text for text in substances if text not in {row["cas"] for row in found["substances"]}]
    for text in missing:
        click.echo(f"{text}: not listed; refused in such a cabinet, or a property is not known", err=True)


def _write(out: Path, found: Mapping[str, Any], day: str) -> None:
    from stillroom.cli.whole import write_file
    from stillroom.errors import InputError, Problem
    from stillroom.services.capacity import as_csv, as_pdf

    makers: dict[str, Callable[[], bytes]] = {
        ".csv": lambda: as_csv(found).encode("utf-8-sig"),
        ".pdf": lambda: as_pdf(found, date=day),
        ".json": lambda: (json.dumps(found, ensure_ascii=False, indent=1) + "\n").encode(),
    }
    make = makers.get(out.suffix.casefold())
    if make is None:
        mend = "End the file in .csv, .pdf or .json."
        raise InputError(Problem("this ending is not known", mend, column="--out", found=out.name))
    write_file(out, make())
    click.echo(f"{len(found['substances'])} substances: {out}", err=True)


def _shown(found: Mapping[str, Any]) -> str:
    from stillroom.cli.show import table

    two = found["layers"] != 1
    head = ("cas", "substance", "first layer", "5 to 95 %", *(("second",) if two else ()), "hours", "ends at")
    shown = [
        (
            str(row["cas"]),
            str(row["name"]),
            f"{row['first_layer_g']:.0f} g",
            f"{row['p05']:.0f} – {row['p95']:.0f}",
            *((f"{row['second_layer_g']:.0f} g",) if two else ()),
            f"{row['hours']:.3g}",
            str(row["end_basis"]),
        )
        for row in found["substances"]
    ]
    words = found["conditions"]["words"]
    return f"{table(head, shown, widest=44)}\n\n{len(shown)} substances. {words[0].upper()}{words[1:]}. No service life."
