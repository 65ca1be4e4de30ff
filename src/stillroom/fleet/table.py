"""The answers of a fleet as one table."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from stillroom.units.files import plain_cell

__all__ = ["COLUMNS", "WRONG", "as_csv", "summary"]

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
