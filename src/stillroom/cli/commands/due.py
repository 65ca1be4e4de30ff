"""``stillroom due``."""

from __future__ import annotations

import datetime
import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stillroom.cli.stored import data_option, open_database
from stillroom.cli.whole import write_file
from stillroom.errors import InputError, Problem

if TYPE_CHECKING:
    from stillroom.services.spares import Spares

__all__ = ["command"]


@click.command("due")
@click.option("--within", "within", type=click.IntRange(min=0), metavar="DAYS", help="Leave out what is due later than in so many days.")  # fmt: skip
@click.option("--site", default=None, metavar="NAME", help="Of the cabinets of one site only.")
@click.option("--spares", "with_spares", is_flag=True, help="Which cartridges to order for the filters due within 90 days (or --within), and which cabinets are at risk.")  # fmt: skip
@click.option("--organisation", default="", metavar="NAME", help="Of one organisation only: its name or key.")
@click.option("--ics", type=click.Path(path_type=Path), metavar="FILE", help="Write a calendar (iCalendar).")
@click.option("--csv", "csv_file", type=click.Path(path_type=Path), metavar="FILE", help="Write a table.")
@click.option("--xlsx", type=click.Path(path_type=Path), metavar="FILE", help="Write a workbook.")
@click.option(
    "--date", "on", type=click.DateTime(["%Y-%m-%d"]), help="As seen from that day; today where not given."
)
@click.option(
    "--json", "as_json", is_flag=True, help="One JSON document on standard output and nothing else."
)
@data_option
def command(
    within: int | None,
    site: str | None,
    with_spares: bool,
    organisation: str,
    ics: Path | None,
    csv_file: Path | None,
    xlsx: Path | None,
    on: object,
    as_json: bool,
    data: Path,
) -> None:
    """What is due over all cabinets: visits, filters, validations that end, rechecks, calibrations; overdue first.

    Links lead to STILLROOM_BASE_URL; without it there are none.
    """
    open_database(data)
    from django.conf import settings

    from stillroom.cli.owner import owner
    from stillroom.cli.show import table
    from stillroom.records.models import Organisation
    from stillroom.services.due import due, in_use
    from stillroom.services.due_files import as_calendar, as_csv, as_xlsx
    from stillroom.services.spares import DAYS, spares
    from stillroom.web.due.links import links_at

    today = on.date() if hasattr(on, "date") else datetime.date.today()
    stamp = (
        datetime.datetime.combine(today, datetime.time(), datetime.UTC)
        if hasattr(on, "date")
        else datetime.datetime.now(datetime.UTC)
    )
    one = owner(organisation)
    owners = [one] if one else list(Organisation.objects.all())
    kept = {row.name: in_use(row, site=site) for row in owners}
    if site is not None and not any(kept.values()):
        mend = "Write it as on the cabinets' pages."
        raise InputError(Problem("no cabinet in use stands at that site", mend, found=site))
    whole = {row.name: due(row, today=today, site=site, kept=kept[row.name]) for row in owners}
    days = DAYS if within is None else within
    orders = {name: spares(kept[name], found, today=today, days=days) for name, found in whole.items()}
    lists = {
        name: [item for item in found if within is None or item.days <= within]
        for name, found in whole.items()
    }
    items = sorted((item for found in lists.values() for item in found), key=lambda item: item.date)
    links = links_at(settings.BASE_URL)
    name = f"Due: {', '.join(lists)}"
    if ics is not None:
        _write(ics, as_calendar(items, stamp=stamp, today=today, name=name, link=links))
    if csv_file is not None:
        _write(csv_file, as_csv(items, link=links))
    if xlsx is not None:
        _write(
            xlsx,
            as_xlsx(
                items, link=links, made=stamp, order=orders[next(iter(orders))] if len(orders) == 1 else None
            ),
        )
    if as_json:
        told = [
            {"organisation": name, "due": [item.as_json() | {"link": links(item)} for item in found]}
            | ({"spares": orders[name].as_json()} if with_spares else {})
            for name, found in lists.items()
        ]
        words = {"date": today.isoformat(), "within_days": within, "organisations": told}
        click.echo(json.dumps(words, ensure_ascii=False, indent=1))
        return
    if with_spares:
        for name, order in orders.items():
            _say(name, order)
        return
    rows = [
        (
            item.date.isoformat(),
            f"{-item.days} days late" if item.overdue else f"in {item.days} days" if item.days else "today",
            item.kind,
            " · ".join(part for part in (item.name, item.site, item.room, item.place) if part),
            item.what,
        )
        for item in items
    ]
    if rows:
        click.echo(table(("date", "", "kind", "where", "what to do"), rows, widest=60))
    late = sum(item.overdue for item in items)
    click.echo(f"{len(items)} due, {late} of them overdue.")


def _say(organisation: str, order: Spares) -> None:
    """The spares and the cabinets at risk of one organisation."""
    from stillroom.cli.show import table

    click.echo(f"{organisation}: cartridges for the filters due within {order.days} days")
    rows = [
        (item.medium, f"{item.mass_kg:g} kg", str(item.cartridges), f"{item.total_kg:g} kg", str(item.cabinets), str(item.late), item.first.isoformat())
        for item in order.order
    ]  # fmt: skip
    if rows:
        click.echo(table(("medium", "each", "cartridges", "in all", "cabinets", "late", "first on"), rows))
    elif not order.unknown:
        click.echo("No filter falls due in that time.")
    if order.unknown:
        click.echo(f"Not known, because nothing approves them: {', '.join(order.unknown)}.")
    click.echo("Particulate filters are not counted.")
    click.echo(f"At risk: {len(order.at_risk)} cabinets")
    risks = [
        (
            " · ".join(part for part in (row.name, row.site, row.room, row.place) if part),
            "; ".join(row.reasons),
        )
        for row in order.at_risk
    ]
    if risks:
        click.echo(table(("where", "why"), risks, widest=90))


def _write(file: Path, content: bytes) -> None:
    write_file(file, content)
    click.echo(f"wrote {file}", err=True)
