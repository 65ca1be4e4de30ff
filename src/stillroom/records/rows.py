"""Rows as plain values and back, whichever the engine: what a backup holds of every table."""

from __future__ import annotations

import base64
import datetime
import json
from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import models

from stillroom.records.models import Event

__all__ = ["LEFT_OUT", "UnfitRow", "differs", "kept", "line", "read", "stored", "typed"]

LEFT_OUT = (
    "sessions (everybody signs in again)",
    "failed tries to sign in",
    "the admin site's own list of what was done (the trail has it)",
)
"""What is in the database and in no backup."""


class UnfitRow(ValueError):
    """A line that is no row of its table."""


def kept() -> dict[str, type[models.Model]]:
    """Every kind of row that a backup holds, by name."""
    return {model._meta.model_name or "": model for model in apps.get_app_config("records").get_models()}


def stored(model: type[models.Model], *, using: str = "default") -> Iterator[dict[str, Any]]:
    """Every row as it is stored, in a fixed order: events by log and number, all else by number."""
    order = ("log", "seq", "pk") if model is Event else ("pk",)
    rows = model._base_manager.using(using).order_by(*order).values(*_columns(model))
    return rows.iterator(chunk_size=200)


def line(row: dict[str, Any]) -> str:
    """The row as one line of JSON, names in order; times in UTC with microseconds, bytes in base64."""
    plain = {name: _plain(value) for name, value in row.items()}
    return json.dumps(plain, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def read(model: type[models.Model], text: str) -> dict[str, Any]:
    """The row of a line, in the kinds that the database gives.

    Raises
    ------
    UnfitRow
        It is no JSON, has other columns than the table, or a value that does not belong there.
    """
    try:
        plain = json.loads(text)
    except (ValueError, RecursionError):
        raise UnfitRow("is no JSON") from None
    columns = _columns(model)
    if not isinstance(plain, dict) or plain.keys() != set(columns):
        raise UnfitRow(f"does not have the columns of {model._meta.verbose_name_plural}")
    return {name: _typed(model, name, plain[name]) for name in columns}


def typed(model: type[models.Model], row: dict[str, Any]) -> models.Model:
    """The row as an instance that was not saved."""
    return model(**row)


def differs(row: dict[str, Any], other: dict[str, Any] | None) -> list[str]:
    """Names of the columns in which two rows are not the same; of all where there is no other."""
    if other is None:
        return sorted(row)
    return sorted(name for name in row if _comparable(row[name]) != _comparable(other[name]))


def _comparable(value: Any) -> Any:
    return bytes(value) if isinstance(value, bytes | bytearray | memoryview) else value


def _columns(model: type[models.Model]) -> tuple[str, ...]:
    return tuple(field.attname for field in model._meta.concrete_fields)


def _plain(value: Any) -> Any:
    if isinstance(value, datetime.datetime):
        return value.astimezone(datetime.UTC).isoformat(timespec="microseconds")
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, bytes | bytearray | memoryview):
        return base64.b64encode(value).decode()
    return value


def _typed(model: type[models.Model], name: str, value: Any) -> Any:
    field = model._meta.get_field(name)
    if value is None or isinstance(field, models.JSONField):
        return value
    try:
        if isinstance(field, models.BinaryField):
            return base64.b64decode(value, validate=True)
        found = field.to_python(value)
    except (ValidationError, ValueError, TypeError, OverflowError):
        raise UnfitRow(f"has a value in “{name}” that does not belong there") from None
    if _plain(found) != value:
        raise UnfitRow(f"has a value in “{name}” in another spelling than the program's")
    return found
