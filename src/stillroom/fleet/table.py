"""The answers of a fleet as one table."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

__all__ = ["COLUMNS", "WRONG", "as_csv", "plain_cell", "summary"]

COLUMNS = (
    "name",
    "title",
    "verdict",
    "containers",
    "substances",
    "refused",
    "conditions",
    "conflicts_unsolved",
    "life_days_p05",
    "life_days_p50",
    "life_days_p95",
    "governing",
    "life_ends",
    "next_visit",
    "number",
    "fault",
)
WRONG = "input wrong"
"""In the verdict's place where a cabinet's files cannot be used; `fault` says why."""
_TRIGGERS = ("=", "+", "-", "@", "|", "%", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠")


def plain_cell(value: Any) -> Any:
    """A cell that no spreadsheet takes for a formula: text that would start one gets an apostrophe (OWASP ASVS 5.0, 1.2.10).

    So does text that has apostrophes before such a start already: taking one away gives back what was there.
    """
    if isinstance(value, str) and value.lstrip("'").startswith(_TRIGGERS):
        return "'" + value
    return "" if value is None else value


def as_csv(rows: Sequence[Mapping[str, Any]], columns: Sequence[str] = COLUMNS) -> str:
    """The table in CSV, a header and a row a cabinet."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([plain_cell(row.get(column)) for column in columns])
    return out.getvalue()


def summary(rows: Sequence[Mapping[str, Any]]) -> dict[str, int]:
    """How many cabinets had each verdict; `WRONG` input is counted as such."""
    return dict(Counter(str(row["verdict"]) for row in rows))
