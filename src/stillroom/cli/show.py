"""What the commands print for people."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import click

from stillroom.assessment.record import IntervalRecord, Record
from stillroom.units import show

if TYPE_CHECKING:
    from stillroom.services.backup import Contents

__all__ = ["EXIT", "contents_lines", "interval", "table", "verdict"]

EXIT = {"approved": 0, "approved with conditions": 0, "not approved": 1, "cannot tell": 3}


def interval(values: IntervalRecord, *, factor: float = 1.0, digits: int = 2) -> str:
    """ "5 % end – 95 % end", "from the 5 % end on" where the other is not reached, or a dash where there is no number."""
    low, high = values["p05"], values["p95"]
    if low is None:
        return "–"
    if high is None:
        return f"from {show(low * factor, digits)} on"
    if high * factor < 1e-4:
        return "under 0.0001"
    return f"{show(low * factor, digits)}–{show(high * factor, digits)}"


def contents_lines(contents: Contents) -> Iterator[str]:
    """What a backup holds."""
    yield f"made {contents.made_at} by Stillroom {contents.program} on {contents.engine}, tables {contents.tables}"
    for log in contents.logs:
        yield f"log {log.name:14} {log.size:8} events   head {log.head[:32]}"
    yield f"{contents.rows} rows; signed by key {contents.key_id}; SHA-256 {contents.sha256}"


def table(head: Sequence[str], rows: Sequence[Sequence[str]], *, widest: int = 34) -> str:
    """Columns of plain text, as wide as their content up to `widest` characters."""
    cells = [[_cut(cell, widest) for cell in row] for row in (head, *rows)]
    widths = [max(len(row[column]) for row in cells) for column in range(len(head))]
    lines = [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in cells
    ]
    lines.insert(1, "  ".join("-" * width for width in widths))
    return "\n".join(lines)


def _cut(text: str, widest: int) -> str:
    return text if len(text) <= widest else text[: widest - 1] + "…"


def verdict(record: Record) -> None:
    """The verdict table on standard output."""
    click.echo(f"{record['title']} · {record['number']}" + (" · invented data" if record["invented"] else ""))
    click.echo(f"\n{record['verdict'].upper()}")
    for words in record["verdict_words"]:
        click.echo(f"  {words}")
    rows = [
        (
            item["name"],
            item["cas"],
            item["containers"],
            _limit(item["limit"]),
            interval(item["emission_g_per_day"]),
            interval(item["exhaust_fraction_of_limit"], factor=100.0),
            _amount(item["largest_amount"], item["largest_amount_unit"]),
            item["verdict"],
        )
        for item in record["substances"]
    ]
    head = ("substance", "CAS", "containers", "limit", "g/day", "% at exhaust", "largest", "verdict")
    click.echo("\n" + table(head, rows))
    unknown = [item for item in record["containers"] if not item["known"]]
    if unknown:
        click.echo("\nUnknown contents, never approved:")
        for item in unknown:
            click.echo(f"  row {item['row']}: {item['name'] or item['cas']} – {item['note']}")
    if record["conflicts"]:
        click.echo("\nConflicts:")
        for line in _conflicts(record):
            click.echo(f"  {line}")
    if record["conditions"]:
        click.echo("\nConditions:")
        for words in record["conditions"]:
            click.echo(f"  - {words}")
    clocks = [
        (item["name"], interval(item["days"], digits=3), item["governing_name"], item["words"])
        for item in record["clocks"]
    ]
    click.echo("\n" + table(("clock", "days (5–95 %)", "governed by", ""), clocks, widest=90))
    click.echo(f"\nNext visit: {record['visit']['next_visit']} ({record['visit']['rule']})")
    for words in record["warnings"]:
        click.echo(f"note: {words}", err=True)
    click.echo(
        "A decision aid: local codes, the manufacturer's tests and licensed or competent persons prevail."
    )


def _limit(limit: object) -> str:
    if not isinstance(limit, dict):
        return "none"
    return f"{limit['value']:g} {limit['unit']} {limit['basis']} {limit['list']}"


def _amount(value: float | None, unit: str) -> str:
    return "–" if value is None else f"{value:g} {unit}"


def _conflicts(record: Record) -> list[str]:
    """One line for all partners of a substance that share severity, consequence and outcome."""
    often: dict[str, int] = {}
    for conflict in record["conflicts"]:
        for name in conflict["names"]:
            often[name] = often.get(name, 0) + 1
    groups: dict[tuple[str, str, str, str], list[str]] = {}
    staying = {item["name"] for item in record["substances"] if EXIT[item["verdict"]] == 0}
    for conflict in record["conflicts"]:
        hub = max(conflict["names"], key=lambda name: (often[name], name))
        other = next((name for name in conflict["names"] if name != hub), hub)
        if not set(conflict["names"]) <= staying:
            state = "one of the two may not stay"
        else:
            state = "kept apart by the plan" if conflict["solved"] else "NOT kept apart by any plan here"
        groups.setdefault((hub, conflict["severity"], conflict["consequence"], state), []).append(other)
    return [
        f"{hub} + {', '.join(others)}: {severity}, {state}. {consequence}"
        for (hub, severity, consequence, state), others in groups.items()
    ]
