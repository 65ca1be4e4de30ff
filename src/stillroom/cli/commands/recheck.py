"""``stillroom recheck``."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date as Date
from pathlib import Path
from typing import Any

import click

from stillroom.cli.stored import data_option, open_database

__all__ = ["command"]


@click.command("recheck")
@click.option("--organisation", default="", metavar="NAME", help="Of one organisation only: its name or key.")
@click.option("--all", "everything", is_flag=True, help="Compute those too since which nothing changed.")
@click.option(
    "--date", "on", type=click.DateTime(["%Y-%m-%d"]), help="Against which dates are held; today where not given."
)  # fmt: skip
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
@data_option
def command(organisation: str, everything: bool, on: object, as_json: bool, data: Path) -> int:
    """Which validations would come out differently today?

    Looks at the validation of every cabinet in use; computes again those since which a list of limits, a medium, the
    model or the program changed. Nothing is written.

    Exit status: 0 all hold · 1 some are past their date or would come out differently · 3 neither, but some could not be
    computed.
    """
    open_database(data)
    from stillroom.cli.owner import owner
    from stillroom.services.recheck import exit_status, in_force, recheck

    today = on.date() if hasattr(on, "date") else Date.today()
    validations = in_force(owner(organisation))
    total = len(validations)
    done = 0

    def progress(row: Mapping[str, Any]) -> None:
        nonlocal done
        done += 1
        if row["computed"]:
            click.echo(f"{done}/{total}  {row['cabinet']['name']}  computed again", err=True)

    rows = recheck(validations, today=today, everything=everything, progress=progress)
    if as_json:
        click.echo(json.dumps({"date": today.isoformat(), "validations": rows}, ensure_ascii=False, indent=1))
    else:
        for row in rows:
            _say(row)
        _count(rows)
    return exit_status(rows)


def _say(row: Mapping[str, Any]) -> None:
    if not (row["past"] or row["changed"] or row.get("differs") or row.get("fault")):
        return
    cabinet, validation = row["cabinet"], row["validation"]
    where = " · ".join(part for part in (cabinet["name"], cabinet["site"], row["organisation"]) if part)
    click.echo(f"\nValidation V{validation['number']}: {where}")
    if row["past"]:
        click.echo(f"  past its date: it held until {validation['valid_until']}, {row['days_past']} days ago")
    for change in row["changed"]:
        click.echo(f"  changed since: {change['what']}: {change['then']} → {change['now']}")
    if not row["computed"]:
        return
    if row["fault"]:
        click.echo(f"  CANNOT BE COMPUTED AGAIN: {row['fault']}")
    elif not row["differs"]:
        click.echo(f"  today the same: {row['verdict_now']}")
    else:
        click.echo(f"  TODAY: {row['verdict_now']} (it was: {validation['verdict']})")
    for words in row["moved"]:
        click.echo(f"    {words}")


def _count(rows: list[dict[str, Any]]) -> None:
    past, changed = sum(row["past"] for row in rows), sum(bool(row["changed"]) for row in rows)
    differ = sum(row.get("differs") is True for row in rows)
    lost = sum(bool(row.get("fault")) for row in rows)
    click.echo(
        f"\n{len(rows)} validations: {past} past their date, {changed} made with what has changed since, "
        f"{differ} would come out differently, {lost} could not be computed again."
    )
