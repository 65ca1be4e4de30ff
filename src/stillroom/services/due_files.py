"""What is due as files: iCalendar, CSV, XLSX. A cell is text or a number, never a formula."""

from __future__ import annotations

import csv
import datetime
import io
from collections.abc import Callable, Sequence
from typing import Any

from stillroom.services.calendar import Event, calendar
from stillroom.services.due import Due
from stillroom.services.spares import Spares
from stillroom.units.files import plain_cell

__all__ = ["COLUMNS", "as_calendar", "as_csv", "as_xlsx"]

COLUMNS = ("date", "days", "kind", "name", "site", "room", "place", "what", "why", "link")
SPARE_COLUMNS = ("medium", "kg in each", "cartridges", "kg in all", "cabinets", "late", "first on")
RISK_COLUMNS = ("name", "site", "room", "place", "why")
_WIDTHS = (11, 7, 13, 28, 20, 16, 20, 34, 60, 40)

Link = Callable[[Due], str]


def as_calendar(
    items: Sequence[Due], *, stamp: datetime.datetime, today: datetime.date, name: str, link: Link
) -> bytes:
    """All of them as all-day events; what is overdue lasts from its day until today, so that it is not missed.

    Parameters
    ----------
    items : sequence of Due
    stamp : datetime.datetime
        When it is made, with its time zone.
    today : datetime.date
    name : str
        Of the calendar.
    link : callable
        Item to the address of its page; empty where there is none.
    """
    return calendar((_event(item, today, link) for item in items), stamp=stamp, name=name)


def _event(item: Due, today: datetime.date, link: Link) -> Event:
    mark = f"Overdue since {item.date}: " if item.overdue else ""
    place = ", ".join(part for part in (item.name, item.place, item.room, item.site) if part)
    return Event(
        uid=f"{item.key}@stillroom",
        first=item.date,
        last=max(item.date, today) if item.overdue else item.date,
        summary=f"{mark}{item.what}: {item.name}",
        description=f"{item.why}.",
        location=place,
        url=link(item),
        category=item.kind,
    )


def as_csv(items: Sequence[Due], *, link: Link) -> bytes:
    """A row an item, in UTF-8 with its mark, so that a spreadsheet reads it as that."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for item in items:
        writer.writerow([plain_cell(cell) for cell in _cells(item, link)])
    return out.getvalue().encode("utf-8-sig")


def as_xlsx(
    items: Sequence[Due], *, link: Link, made: datetime.datetime, order: Spares | None = None
) -> bytes:
    """The same as a workbook, with the spares to order and the cabinets at risk on sheets of their own.

    `made` stands in its properties; the clock is never asked.
    """
    import xlsxwriter

    out = io.BytesIO()
    options = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    with xlsxwriter.Workbook(out, options) as book:
        book.set_properties({"created": made.replace(tzinfo=None), "title": "What is due"})
        sheet = book.add_worksheet("Due")
        bold = book.add_format({"bold": True})
        day = book.add_format({"num_format": "yyyy-mm-dd", "align": "left"})
        for column, (words, width) in enumerate(zip(COLUMNS, _WIDTHS, strict=True)):
            sheet.set_column(column, column, width)
            sheet.write_string(0, column, words, bold)
        for row, item in enumerate(items, 1):
            for column, cell in enumerate(_cells(item, link)):
                if column == 0:
                    sheet.write_datetime(row, 0, datetime.datetime.combine(item.date, datetime.time()), day)
                elif isinstance(cell, int):
                    sheet.write_number(row, column, cell)
                else:
                    sheet.write_string(row, column, cell)
        sheet.freeze_panes(1, 0)
        sheet.autofilter(0, 0, len(items), len(COLUMNS) - 1)
        if order is not None:
            _sheet(book, f"Spares {order.days} days", SPARE_COLUMNS, _spare_rows(order))
            _sheet(book, "At risk", RISK_COLUMNS, _risk_rows(order))
    return out.getvalue()


def _sheet(book: Any, name: str, columns: Sequence[str], rows: Sequence[Sequence[str | float]]) -> None:
    sheet = book.add_worksheet(name)
    for column, words in enumerate(columns):
        sheet.set_column(column, column, 24)
        sheet.write_string(0, column, words, book.add_format({"bold": True}))
    for row, cells in enumerate(rows, 1):
        for column, cell in enumerate(cells):
            if isinstance(cell, str):
                sheet.write_string(row, column, cell)
            else:
                sheet.write_number(row, column, cell)
    sheet.freeze_panes(1, 0)


def _spare_rows(order: Spares) -> list[tuple[str | float, ...]]:
    rows: list[tuple[str | float, ...]] = [
        (
            item.medium,
            item.mass_kg,
            item.cartridges,
            item.total_kg,
            item.cabinets,
            item.late,
            item.first.isoformat(),
        )
        for item in order.order
    ]
    return [*rows, *((f"not known: {name} (nothing approves it)",) for name in order.unknown)]


def _risk_rows(order: Spares) -> list[tuple[str, ...]]:
    return [(row.name, row.site, row.room, row.place, "; ".join(row.reasons)) for row in order.at_risk]


def _cells(item: Due, link: Link) -> tuple[str | int, ...]:
    where = (item.kind, item.name, item.site, item.room, item.place)
    return (item.date.isoformat(), item.days, *where, item.what, item.why, link(item))
