"""Triggers in the database that keep rows as they were written, whoever asks: UPDATE, DELETE, REPLACE and TRUNCATE fail.

They are put in place after every `migrate` (on SQLite a changed column rebuilds its table and drops its triggers),
lifted while migrations run, and looked for before a process writes for the first time. Someone with full rights on
the database can drop them; then the chain tells.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.db import models, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models.signals import post_migrate, pre_migrate

from stillroom.errors import StillroomError
from stillroom.records.models.trail import Appended
from stillroom.records.tracked import Tracked

__all__ = ["GuardsMissing", "check", "install", "keep", "missing", "remove"]

_WORDS = "this row is kept as it was written"
_FUNCTION = f"BEGIN RAISE EXCEPTION '{_WORDS} (table %)', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation'; END"
_seen: set[str] = set()


class GuardsMissing(StillroomError):
    """The database lacks the triggers that keep rows as they were written."""


def keep() -> None:
    """Have the guards lifted before migrations and put back after them; called once, at start."""
    sender = apps.get_app_config("records")
    pre_migrate.connect(_lift, sender=sender, dispatch_uid="guards")
    post_migrate.connect(_put_back, sender=sender, dispatch_uid="guards")


def check(connection: BaseDatabaseWrapper) -> None:
    """Refuse to go on where guards are missing; looked up once a process.

    Raises
    ------
    GuardsMissing
    """
    if connection.alias in _seen:
        return
    gone = missing(connection)
    if gone:
        raise GuardsMissing(
            f"The database does not protect signed rows: {len(gone)} triggers are missing ({gone[0]} …). "
            "Nothing was written. Run “stillroom doctor --db” to see why, and start “stillroom serve” to put them back."
        )
    _seen.add(connection.alias)


def missing(connection: BaseDatabaseWrapper) -> list[str]:
    """Names of guards that are not there, are switched off, or say something else than they should."""
    there = _there(connection)
    return [name for name, (_, known_by, _) in _wanted(connection).items() if there.get(name) != known_by]


def install(connection: BaseDatabaseWrapper) -> None:
    """Put every guard in place; those that are right stay untouched."""
    gone = missing(connection)
    if not gone:
        return
    wanted = _wanted(connection)
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SELECT pg_advisory_xact_lock(hashtext('stillroom guards'))")
            cursor.execute(
                f"CREATE OR REPLACE FUNCTION stillroom_keep() RETURNS trigger LANGUAGE plpgsql AS $keep${_FUNCTION}$keep$"
            )
        for name in gone:
            table, _, make = wanted[name]
            _drop(connection, cursor, name, table)
            cursor.execute(make)
            if connection.vendor == "postgresql":
                cursor.execute(f'ALTER TABLE "{table}" ENABLE ALWAYS TRIGGER "{name}"')


def remove(connection: BaseDatabaseWrapper) -> None:
    """Lift every guard: before migrations, and before tests empty their database."""
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        for name, (table, _, _) in _wanted(connection).items():
            _drop(connection, cursor, name, table)


def _lift(using: str, plan: Any = (), **_: Any) -> None:
    if plan:
        from django.db import connections

        remove(connections[using])


def _put_back(using: str, **_: Any) -> None:
    from django.db import connections

    install(connections[using])


def _drop(connection: BaseDatabaseWrapper, cursor: Any, name: str, table: str) -> None:
    on = f' ON "{table}"' if connection.vendor == "postgresql" else ""
    cursor.execute(f'DROP TRIGGER IF EXISTS "{name}"{on}')


def _wanted(connection: BaseDatabaseWrapper) -> dict[str, tuple[str, str, str]]:
    """Name of each guard → its table, what it is known by once it is there, and the statement that makes it."""
    make = _postgresql if connection.vendor == "postgresql" else _sqlite
    with connection.cursor() as cursor:
        tables = set(connection.introspection.table_names(cursor))
        found: dict[str, tuple[str, str, str]] = {}
        for model, frozen_when in _kept():
            table = model._meta.db_table
            if table not in tables:
                continue
            columns = {
                column.name for column in connection.introspection.get_table_description(cursor, table)
            }
            for name, known_by, statement in make(model, frozen_when, columns):
                found[name] = (table, known_by, statement)
    return found


def _kept() -> Iterator[tuple[type[models.Model], str]]:
    """Each model whose rows are kept, and from when on."""
    for model in apps.get_app_config("records").get_models():
        if issubclass(model, Appended):
            yield model, "always"
        elif issubclass(model, Tracked) and model.frozen_when != "never":
            yield model, model.frozen_when


def _there(connection: BaseDatabaseWrapper) -> dict[str, str]:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT t.tgname, t.tgenabled::text || ' ' || (f.prosrc = %s)::text FROM pg_trigger t "
                "JOIN pg_proc f ON f.oid = t.tgfoid JOIN pg_class c ON c.oid = t.tgrelid "
                "WHERE NOT t.tgisinternal AND pg_table_is_visible(c.oid)",
                [_FUNCTION],
            )
        else:
            cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        return dict(cursor.fetchall())


def _sqlite(model: type[models.Model], frozen_when: str, columns: set[str]) -> Iterator[tuple[str, str, str]]:
    table = model._meta.db_table
    when = "" if frozen_when == "always" else f" WHEN {frozen_when}"
    same = " OR ".join(
        "(" + " AND ".join(f'OLD."{column}" = NEW."{column}"' for column in unique) + ")"
        for unique in _unique(model)
        if columns.issuperset(unique)
    )
    kept = "" if frozen_when == "always" else f" AND {frozen_when}"
    exists = f' WHEN EXISTS (SELECT 1 FROM "{table}" AS OLD WHERE ({same}){kept})'
    for kind, event, condition in (
        ("update", "UPDATE", when),
        ("delete", "DELETE", when),
        ("replace", "INSERT", exists),
    ):
        name = f"{table}_no_{kind}"
        statement = f'CREATE TRIGGER "{name}" BEFORE {event} ON "{table}"{condition} BEGIN SELECT RAISE(ABORT, \'{_WORDS}\'); END'
        yield name, statement, statement


def _postgresql(
    model: type[models.Model], frozen_when: str, columns: set[str]
) -> Iterator[tuple[str, str, str]]:
    table = model._meta.db_table
    when = "" if frozen_when == "always" else f" WHEN ({frozen_when})"
    for kind, event, level in (
        ("change", "UPDATE OR DELETE", f"FOR EACH ROW{when}"),
        ("truncate", "TRUNCATE", "FOR EACH STATEMENT"),
    ):
        name = f"{table}_no_{kind}"
        yield (
            name,
            "A true",
            f'CREATE TRIGGER "{name}" BEFORE {event} ON "{table}" {level} EXECUTE FUNCTION stillroom_keep()',
        )


def _unique(model: type[models.Model]) -> Iterator[tuple[str, ...]]:
    """The sets of columns by which an INSERT OR REPLACE could put a row in another's place."""
    for field in model._meta.concrete_fields:
        if field.unique:
            yield (field.column,)
    for constraint in model._meta.total_unique_constraints:
        yield tuple(model._meta.get_field(name).column for name in constraint.fields)
