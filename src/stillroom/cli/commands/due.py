"""``stillroom due``."""

from __future__ import annotations

import datetime
import json
from pathlib import Path

import click

from stillroom.cli.stored import data_option, open_database

__all__ = ["command"]


@click.command("due")
@click.option("--within", "within", type=click.IntRange(min=0), metavar="DAYS", help="Leave out what is due later than in so many days.")  # fmt: skip
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
    from stillroom.services.due import due
    from stillroom.services.due_files import as_calendar, as_csv, as_xlsx
    from stillroom.web.due.links import links_at

    today = on.date() if hasattr(on, "date") else datetime.date.today()
    stamp = (
        datetime.datetime.combine(today, datetime.time(), datetime.UTC)
        if hasattr(on, "date")
        else datetime.datetime.now(datetime.UTC)
    )
    one = owner(organisation)
    owners = [one] if one else list(Organisation.objects.all())
    lists = {row.name: due(row, today=today, within_days=within) for row in owners}
    items = sorted((item for found in lists.values() for item in found), key=lambda item: item.date)
    links = links_at(settings.BASE_URL)
    name = f"Due: {', '.join(lists)}"
    if ics is not None:
        _write(ics, as_calendar(items, stamp=stamp, today=today, name=name, link=links))
    if csv_file is not None:
        _write(csv_file, as_csv(items, link=links))
    if xlsx is not None:
        _write(xlsx, as_xlsx(items, link=links, made=stamp))
    if as_json:
        told = [
            {"organisation": name, "due": [item.as_json() | {"link": links(item)} for item in found]}
            for name, found in lists.items()
        ]
        words = {"date": today.isoformat(), "within_days": within, "organisations": told}
        click.echo(json.dumps(words, ensure_ascii=False, indent=1))
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


def _write(file: Path, content: bytes) -> None:
    from stillroom.errors import InputError, Problem

    part = file.with_name(f".{file.name}.part")
    try:
        part.write_bytes(content)
        part.replace(file)
    except OSError as error:
        mend = "Choose another file."
        raise InputError(Problem(f"cannot be written ({error.strerror})", mend, file=str(file))) from None
    click.echo(f"wrote {file}", err=True)
