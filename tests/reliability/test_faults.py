"""A fault at each statement of a write through the trail, once and for good; at the commit; and a full disk."""

from __future__ import annotations

import os
from contextlib import contextmanager

import pytest
from django.core.management import call_command
from django.db import DatabaseError, OperationalError, connection

from documents.sample_record import sample_record
from records.conftest import two  # noqa: F401
from reliability.faults import at_every_statement
from stillroom.records import guards, models, store, trail
from stillroom.records.tracked import kinds
from stillroom.services.audit import verify
from stillroom.services.backup import make
from stillroom.services.restore import restore

pytestmark = pytest.mark.django_db(transaction=True)
on_sqlite = pytest.mark.skipif(
    bool(os.environ.get("DATABASE_URL")), reason="only SQLite can be told how large the disk is"
)
TABLES = {"cabinet": {"cabinet": {"name": "C"}}, "room": {"room": {"name": "R"}}}


@pytest.fixture
def backup(case, tmp_path, settings):
    """A backup of two organisations' rows; the database is empty again, the data directory a new one."""
    organisation, user, _ = case
    several(organisation, user)
    store.keep_file(organisation, user, name="a.csv", content=b"x" * 100_000)
    file = tmp_path / "backup.zip"
    make(file)
    emptied()
    settings.DATA = tmp_path / "new"
    settings.DATA.mkdir()
    return file


def emptied():
    guards.remove(connection)
    call_command("flush", verbosity=0, interactive=False)
    assert guards.missing(connection) == []


def put_back(file):
    restore(file, actor="a test", reason="a test")


def state():
    """Every row of every table, events and checkpoints too."""
    assert verify().whole
    models_ = [*kinds(), models.Event, models.Checkpoint]
    return {model.__name__: list(model.objects.order_by("pk").values()) for model in models_}


@pytest.fixture
def case(two):  # noqa: F811
    organisation, user = two[0]
    draft = store.new_draft(organisation, user, title="t", inputs=TABLES)
    return organisation, user, draft


ACTIONS = {
    "take a file in": lambda organisation, user, draft: store.keep_file(
        organisation, user, name="a.csv", content=b"x" * 10_000
    ),
    "take an inventory in": lambda organisation, user, draft: store.take_inventory(
        draft, user, name="a.csv", content=b"x" * 10_000
    ),
    "a new case": lambda organisation, user, draft: store.new_draft(
        organisation, user, title="u", inputs=TABLES
    ),
    "change a draft": lambda organisation, user, draft: store.update_draft(draft, user, title="another"),
    "keep a result": lambda organisation, user, draft: store.conclude(draft, user, record=sample_record()),
    "several rows": lambda organisation, user, draft: several(organisation, user),
    "a new organisation": lambda organisation, user, draft: new_organisation(user),
}


def several(organisation, user):
    own = {"organisation": organisation, "created_by": user}
    with trail.writing(organisation, user, reason="several") as write:
        cabinet = models.Cabinet.objects.create(name="C", **own)
        models.FilterChange.objects.create(cabinet=cabinet, on="2026-11-04", by="A", reason="new", **own)
        cabinet.place = "moved"
        cabinet.save()
        write.say("copy.restored", "database", size=3)


def new_organisation(user):
    with trail.writing(None, user, reason="a customer comes"):
        organisation = models.Organisation.objects.create(name="third")
        models.Membership.objects.create(user=user, organisation=organisation, role="owner")


@pytest.mark.parametrize("forever", [False, True], ids=["once", "for good"])
@pytest.mark.parametrize("name", ACTIONS)
def test_all_or_nothing_at_every_statement(name, forever, case):
    statements = at_every_statement(lambda: ACTIONS[name](*case), state, forever=forever)
    assert statements >= 5


@pytest.mark.parametrize("name", ACTIONS)
def test_a_commit_that_fails_keeps_nothing(name, case, monkeypatch):
    before = state()

    def fails():
        raise OperationalError("a fault of the test")

    with monkeypatch.context() as patch:
        patch.setattr(connection, "_commit", fails)
        with pytest.raises(OperationalError):
            ACTIONS[name](*case)
    assert state() == before


@pytest.mark.parametrize("forever", [False, True], ids=["once", "for good"])
def test_restore_is_all_or_nothing_at_every_statement(forever, request):
    if forever and os.environ.get("DATABASE_URL"):
        pytest.skip("on PostgreSQL once is enough: the statements are the same")
    backup = request.getfixturevalue("backup")
    rows = sum(map(len, state().values()))
    statements = at_every_statement(lambda: put_back(backup), state, forever=forever)
    assert statements > sum(map(len, state().values())) - rows, "every row's own statement failed once"


def test_restore_keeps_nothing_where_the_commit_fails(backup, monkeypatch):
    before = state()

    def fails():
        raise OperationalError("a fault of the test")

    with monkeypatch.context() as patch:
        patch.setattr(connection, "_commit", fails)
        with pytest.raises(OperationalError):
            put_back(backup)
    assert state() == before
    put_back(backup)


@on_sqlite
def test_restore_keeps_nothing_on_a_full_disk(backup):
    before = state()
    with connection.cursor() as cursor:
        cursor.execute("VACUUM")
    with full_disk(spare=3), pytest.raises(DatabaseError, match="full"):
        put_back(backup)
    assert state() == before
    put_back(backup)
    assert verify().whole


@contextmanager
def full_disk(*, spare):
    """A database file that may grow by so many pages [-] and no more."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA page_count")
        (pages,) = cursor.fetchone()
        cursor.execute(f"PRAGMA max_page_count={pages + spare}")
        try:
            yield
        finally:
            cursor.execute("PRAGMA max_page_count=1073741823")


@on_sqlite
def test_a_full_disk_keeps_nothing(case):
    organisation, user, _ = case
    before = state()
    with full_disk(spare=3), pytest.raises(DatabaseError, match="full"):
        store.keep_file(organisation, user, name="large", content=b"x" * 200_000)
    assert state() == before
    store.keep_file(organisation, user, name="large", content=b"x" * 200_000)
    assert verify().whole


def test_a_place_for_copies_that_cannot_be_written_stops_nothing(case, monkeypatch, tmp_path):
    monkeypatch.setenv("STILLROOM_CHECKPOINTS", str(tmp_path / "file" / "below"))
    (tmp_path / "file").write_text("in the way")
    new_organisation(case[1])
    assert models.Organisation.objects.filter(name="third").exists()
    monkeypatch.delenv("STILLROOM_CHECKPOINTS")
    assert verify().whole
