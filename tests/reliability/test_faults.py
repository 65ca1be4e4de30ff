"""A fault at each statement of a write through the trail, once and for good; at the commit; and a full disk."""

from __future__ import annotations

import pytest
from django.db import DatabaseError, OperationalError, connection

from documents.sample_record import sample_record
from records.conftest import two  # noqa: F401
from reliability.faults import at_every_statement
from stillroom.records import models, store, trail
from stillroom.records.tracked import kinds
from stillroom.services.audit import verify

pytestmark = pytest.mark.django_db(transaction=True)
TABLES = {"cabinet": {"cabinet": {"name": "C"}}, "room": {"room": {"name": "R"}}}


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


def test_a_full_disk_keeps_nothing(case):
    if connection.vendor != "sqlite":
        pytest.skip("SQLite can be told how large the disk is")
    organisation, user, _ = case
    before = state()
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA page_count")
        (pages,) = cursor.fetchone()
        cursor.execute(f"PRAGMA max_page_count={pages + 3}")
    try:
        with pytest.raises(DatabaseError, match="full"):
            store.keep_file(organisation, user, name="large", content=b"x" * 200_000)
        assert state() == before
    finally:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA max_page_count=1073741823")
    store.keep_file(organisation, user, name="large", content=b"x" * 200_000)
    assert verify().whole


def test_a_place_for_copies_that_cannot_be_written_stops_nothing(case, monkeypatch, tmp_path):
    monkeypatch.setenv("STILLROOM_CHECKPOINTS", str(tmp_path / "file" / "below"))
    (tmp_path / "file").write_text("in the way")
    new_organisation(case[1])
    assert models.Organisation.objects.filter(name="third").exists()
    monkeypatch.delenv("STILLROOM_CHECKPOINTS")
    assert verify().whole
