"""What is kept stays: refused by the ORM with a plain word, and by the database whoever asks; after every migration."""

from __future__ import annotations

import pytest
from django.apps import apps
from django.core import serializers
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction
from django.db.migrations.loader import MigrationLoader
from django.db.models import ProtectedError

from audit.rows import CHANGES
from stillroom.records import guards, models, trail
from stillroom.records.models.trail import Appended
from stillroom.records.tracked import Tracked

ALL = apps.get_app_config("records").get_models()
TRACKED = sorted(model.__name__ for model in ALL if issubclass(model, Tracked))
KEPT = sorted(
    model.__name__
    for model in apps.get_app_config("records").get_models()
    if issubclass(model, Appended) or model.frozen_when != "never"
)


def test_what_is_kept_is_what_was_agreed():
    assert set(KEPT) == {
        "Event", "Checkpoint", "Validation", "Withdrawal", "Review", "Visit", "Reading", "Series", "FilterChange",
        "Calibration", "StoredFile", "CabinetDefinition", "RoomDefinition", "Assessment", "Strike",
    }  # fmt: skip


@pytest.mark.parametrize("kind", TRACKED)
def test_outside_the_trail_nothing_is_written(kind, rows):
    row, model = rows[kind], getattr(models, kind)
    before = model.stored(row.pk)
    for attempt in (
        row.save,
        row.delete,
        lambda: row.save(update_fields=[next(iter(CHANGES[kind]))]),
        lambda: row.save_base(raw=True),
        lambda: model.objects.filter(pk=row.pk).update(**CHANGES[kind]),
        lambda: model._base_manager.filter(pk=row.pk).update(**CHANGES[kind]),
        lambda: model.objects.filter(pk=row.pk).delete(),
        lambda: model.objects.bulk_create([model(pk=9)]),
        lambda: model.objects.bulk_update([row], [next(iter(CHANGES[kind]))]),
        lambda: model.objects.update_or_create(pk=row.pk, defaults=CHANGES[kind]),
        lambda: next(serializers.deserialize("json", serializers.serialize("json", [row]))).save(),
    ):
        # a row that others need is protected before the trail is asked
        with pytest.raises((trail.NotThroughTrail, ProtectedError)), transaction.atomic():
            attempt()
    assert model.stored(row.pk) == before


@pytest.mark.parametrize("kind", sorted(set(KEPT) - {"Event", "Checkpoint"}))
def test_within_the_trail_what_is_kept_is_not_edited(kind, rows, two):
    row = rows[kind]
    name, value = next(iter(CHANGES[kind].items()))
    setattr(row, name, value)
    with pytest.raises(trail.Frozen, match="never edited"), trail.writing(*two[0], reason="to see"):
        row.save()
    for delete in (row.delete, type(row).objects.filter(pk=row.pk).delete):
        with pytest.raises((trail.Frozen, ProtectedError)), trail.writing(*two[0], reason="to see"):
            delete()


@pytest.mark.parametrize("kind", ["Event", "Checkpoint"])
def test_the_trail_itself_is_written_by_nobody(kind, rows, two):
    row = getattr(models, kind).objects.first()
    for attempt in (row.save, row.delete, type(row)(log="x").save):
        with pytest.raises(trail.Frozen), trail.writing(*two[0], reason="to see"):
            attempt()
    with pytest.raises(trail.NotThroughTrail):
        type(row).objects.update(log="x")


def refused(statement):
    with (
        pytest.raises(DatabaseError, match="kept as it was written"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)


def assert_kept(kind):
    """The database itself refuses, whatever the program does."""
    model = getattr(models, kind)
    table = model._meta.db_table
    where = " WHERE state = 'assessed'" if kind == "Assessment" else ""
    refused(f'UPDATE "{table}" SET id = id{where}')
    refused(f'DELETE FROM "{table}"{where}')
    if connection.vendor == "postgresql":
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")  # nothing of this test's own is left pending
        refused(f'TRUNCATE "{table}" CASCADE')
        return
    columns = ", ".join(f'"{field.column}"' for field in model._meta.concrete_fields)
    for recursive in ("ON", "OFF"):  # whoever asks need not have switched on what we do
        with connection.cursor() as cursor:
            cursor.execute(f"PRAGMA recursive_triggers={recursive}")
        for unique in guards._unique(model):
            other = columns if "id" in unique else columns.replace('"id"', "id + 100000", 1)
            refused(
                f'INSERT OR REPLACE INTO "{table}" ({columns}) SELECT {other} FROM "{table}"{where} LIMIT 1'
            )
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA recursive_triggers=ON")


@pytest.mark.parametrize("kind", KEPT)
def test_the_database_refuses_whoever_asks(kind, rows):
    assert getattr(models, kind).objects.exists()
    assert_kept(kind)


@pytest.mark.tampers
def test_a_draft_can_still_be_changed_and_removed(rows):
    with connection.cursor() as cursor:
        cursor.execute("UPDATE records_assessment SET title = 'x' WHERE state = 'draft'")
        assert cursor.rowcount == 1
        cursor.execute("DELETE FROM records_assessment WHERE state = 'draft'")
        assert cursor.rowcount == 1


def test_missing_guards_are_named_and_stop_writing(two, monkeypatch):
    monkeypatch.setattr(guards, "_seen", set())
    with connection.cursor() as cursor:
        on = " ON records_event" if connection.vendor == "postgresql" else ""
        name = "records_event_no_change" if on else "records_event_no_delete"
        cursor.execute(f"DROP TRIGGER {name}{on}")
    assert guards.missing(connection) == [name]
    with pytest.raises(guards.GuardsMissing, match=name), trail.writing(*two[0], reason="to see"):
        pass
    guards.install(connection)
    assert guards.missing(connection) == []
    with trail.writing(*two[0], reason="to see"):
        pass


def test_a_guard_that_does_nothing_is_no_guard(db):
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("ALTER TABLE records_event DISABLE TRIGGER records_event_no_change")
        else:
            cursor.execute("DROP TRIGGER records_event_no_update")
            cursor.execute(
                "CREATE TRIGGER records_event_no_update BEFORE UPDATE ON records_event BEGIN SELECT 1; END"
            )
    assert len(guards.missing(connection)) == 1


@pytest.mark.django_db(transaction=True)
def test_after_every_migration_the_guards_are_there():
    names = [name for app, name in MigrationLoader(connection).graph.leaf_nodes("records")]
    steps = sorted(name for app, name in MigrationLoader(connection).disk_migrations if app == "records")
    assert steps[-1:] == names
    call_command("migrate", "admin", "zero", verbosity=0)
    call_command("migrate", "axes", "zero", verbosity=0)
    call_command("migrate", "records", "zero", verbosity=0)
    try:
        for step in steps:
            call_command("migrate", "records", step, verbosity=0)
            assert guards.missing(connection) == [], step
            with connection.cursor() as cursor:
                there = set(connection.introspection.table_names(cursor))
            protected = {table for table, _, _ in guards._wanted(connection).values()}
            assert protected == {getattr(models, kind)._meta.db_table for kind in KEPT} & there, step
    finally:
        call_command("migrate", verbosity=0)


@pytest.mark.django_db(transaction=True)
def test_a_changed_column_does_not_end_the_protection(rows):
    """SQLite rebuilds the table of a changed column and drops its triggers: they come back with `post_migrate`."""
    from django.core.management.sql import emit_post_migrate_signal
    from django.db.models import CharField, TextField

    for kind in KEPT:
        model = getattr(models, kind)
        field = next(
            field for field in model._meta.local_concrete_fields if isinstance(field, CharField | TextField)
        )
        other = TextField(null=True)
        other.set_attributes_from_name(field.name)
        other.model = model
        with connection.schema_editor() as editor:
            editor.alter_field(model, field, other)
        if connection.vendor == "sqlite":
            lost = {
                name for name in guards.missing(connection) if name.startswith(f"{model._meta.db_table}_no")
            }
            assert lost, f"the trap is still there: this test would see it ({kind})"
        with connection.schema_editor() as editor:
            editor.alter_field(model, other, field)
        emit_post_migrate_signal(verbosity=0, interactive=False, db=connection.alias)
        assert guards.missing(connection) == [], kind
        assert model.objects.exists(), kind
        assert_kept(kind)
