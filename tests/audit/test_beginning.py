"""A database from before the trail: its organisations get keys, its rows their first events, once."""

from __future__ import annotations

import pytest
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from stillroom.records import guards, models
from stillroom.records.beginning import take_over
from stillroom.records.checkpoints import keep_copies
from stillroom.services.audit import verify


@pytest.mark.django_db(transaction=True)
def test_what_was_stored_before_is_taken_over_as_it_is():
    for app in ("admin", "axes"):
        call_command("migrate", app, "zero", verbosity=0)
    call_command("migrate", "records", "0001", verbosity=0)
    try:
        old = MigrationExecutor(connection).loader.project_state([("records", "0001_initial")]).apps
        user = old.get_model("records", "User").objects.create(username="ada", full_name="Ada", password="!")
        for name in ("One", "Two"):
            organisation = old.get_model("records", "Organisation").objects.create(name=name)
            old.get_model("records", "Membership").objects.create(
                user=user, organisation=organisation, role="owner"
            )
            old.get_model("records", "RoomDefinition").objects.create(
                organisation=organisation,
                created_by=user,
                name="R",
                version=1,
                tables={"a": 1.0},
                sha256="0" * 64,
            )
    finally:
        call_command("migrate", verbosity=0)
    organisations = models.Organisation.objects.all()
    assert len({organisation.key for organisation in organisations}) == 2
    assert guards.missing(connection) == []
    report = verify()
    assert report.whole and report.rows == 7
    assert set(models.Event.objects.exclude(action="log.opened").values_list("reason", flat=True)) == {
        "stored before the trail began; taken over as it is"
    }
    assert take_over() == 0, "once"


@pytest.mark.tampers
def test_a_trail_that_was_removed_does_not_begin_anew(rows, two):
    for log in (two[0][0].key, "installation"):
        keep_copies(log)
    guards.remove(connection)
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM records_event")
        cursor.execute("DELETE FROM records_checkpoint")
    assert take_over() == 0
    assert any("the whole log is gone" in str(finding) for finding in verify().findings)
