"""``stillroom bed``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from stillroom.bed import Curve, Problem

__all__ = ["command"]


@click.command("bed")
@click.argument("case", type=click.Path(path_type=Path))
@click.option(
    "--out", type=click.Path(path_type=Path, dir_okay=False), help="Write the outlet in time, CSV, in ppm."
)
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
def command(case: Path, out: Path | None, as_json: bool) -> None:
    """What comes through a bed of carbon, and when: CASE is a TOML file (docs/reference/bed.md).

    Any vapours together through one or several layers, with inlets that change, clean air and displacement. The first
    run compiles, which takes some seconds.

    Exit status: 0 done · 2 the input is wrong · 3 cannot tell
    """
    from stillroom import bed
    from stillroom.cli.whole import write_file

    problem = bed.load(case)
    curve = bed.simulate(problem)
    if out is not None:
        write_file(out, curve.as_csv().encode(), mend="Choose another file with --out.")
        click.echo(f"wrote {out}", err=True)
    if as_json:
        click.echo(
            json.dumps({"invented": problem.invented, **curve.as_json()}, ensure_ascii=False, indent=1)
        )
        return
    click.echo(_shown(case, problem, curve))


def _shown(case: Path, problem: Problem, curve: Curve) -> str:
    from stillroom.cli.show import table
    from stillroom.units import show

    def hours(value: float | None) -> str:
        return "–" if value is None else show(value, 3)

    largest = curve.outlet_ppm.max(axis=0)
    rows = [
        (
            cas,
            *(hours(value) for value in curve.breakthrough_h[cas].values()),
            show(float(largest[i]), 3),
            show(float(curve.held[i]), 3),
        )
        for i, cas in enumerate(curve.vapours)
    ]
    head = (
        "vapour",
        *(f"{100.0 * x:g} % after, h" for x in problem.fractions),
        "largest outlet, ppm",
        "held at the end, mol",
    )
    return "\n".join(
        [
            case.stem + (" · invented data" if problem.invented else ""),
            "",
            table(head, rows),
            "",
            f"{len(curve.position)} cells, {curve.steps} steps; fed less left less held: {curve.mass_balance_error:.0e} of what was fed.",
            "No seal leaks here and nothing is uncertain: a validation takes both into account.",
        ]
    )
