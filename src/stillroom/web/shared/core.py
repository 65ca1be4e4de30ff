"""From stored inputs to the core's dataclasses, and on to the services. The only place of the pages that does so."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from stillroom.records.models import Assessment

__all__ = [
    "as_text",
    "assess",
    "cabinet_of",
    "inventory_of",
    "papers",
    "read_inventory",
    "room_of",
    "rows_written",
]


def inventory_of(assessment: Assessment) -> Any:
    """The stored inventory, read again."""
    stored = assessment.inventory
    return read_inventory(bytes(stored.content), stored.name)


def read_inventory(content: bytes, name: str) -> Any:
    from stillroom.services.in_place import read_inventory as read

    return read(content, name)


def as_text(content: bytes, name: str) -> str:
    """The cells of an inventory file with tabs between them, each row in its place; empty where it has no cells."""
    from stillroom import inventory
    from stillroom.errors import InputError

    try:
        rows = inventory.cells(content, name)
    except InputError:
        return ""
    out = io.StringIO()
    lines = (rows.get(number, []) for number in range(1, max(rows, default=0) + 1))
    csv.writer(out, delimiter="\t", lineterminator="\n").writerows(lines)
    return out.getvalue()


def rows_written(content: bytes, name: str) -> list[dict[str, str]]:
    """The rows of an inventory file by our columns, as written; none where it is no table."""
    from stillroom import inventory
    from stillroom.errors import InputError

    try:
        return inventory.as_written(content, name)
    except InputError:
        return []


def cabinet_of(tables: Mapping[str, Any]) -> Any:
    """The cabinet of stored tables. A medium is a shipped one or stands in the tables; no file is opened."""
    from stillroom.cabinet.load import parse_cabinet

    return parse_cabinet(tables)


def room_of(tables: Mapping[str, Any]) -> Any:
    from stillroom.room.load import parse_room

    return parse_room(tables)


def assess(assessment: Assessment) -> dict[str, Any]:
    """The record that the stored inputs give: the same inputs give the same record."""
    from stillroom.services.assess_case import assess_case

    return assess_case(assessment)


def papers(
    record: Mapping[str, Any], base_url: str, path: str = "", review: Mapping[str, Any] | None = None
) -> dict[str, bytes]:
    """Every paper of a record, by file name; the code on its labels leads to the server at `base_url`, to `path` there."""
    return _papers(json.dumps(record, sort_keys=True), base_url, path, json.dumps(review, sort_keys=True))


@lru_cache(maxsize=4)
def _papers(text: str, base_url: str, path: str, review: str) -> dict[str, bytes]:
    from stillroom.services.papers import papers as print_papers

    return print_papers(json.loads(text), base_url=base_url, path=path, review=json.loads(review))
