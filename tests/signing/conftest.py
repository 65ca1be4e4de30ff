"""An assessed case that approves and one that refuses, a cabinet, and people with a password; all invented."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from audit.rows import TABLES
from documents.sample_record import sample_record
from records.conftest import two  # noqa: F401

PASSWORD = "five invented words here 9"


@pytest.fixture(scope="session")
def password_hash():
    from django.contrib.auth.hashers import make_password

    return make_password(PASSWORD)


@pytest.fixture
def desk(two, password_hash):  # noqa: F811
    """Everything that a validator has before signing."""
    from stillroom.records import models, store, trail

    (organisation, user), (other, stranger) = two[:2]
    with trail.writing(None, user, reason="passwords"):
        for person in (user, stranger):
            person.password = password_hash
            person.save()
    with trail.writing(organisation, user, reason="a cabinet comes"):
        cabinet = models.Cabinet.objects.create(organisation=organisation, created_by=user, name="C1")
    with trail.writing(other, stranger, reason="a cabinet comes"):
        foreign = models.Cabinet.objects.create(organisation=other, created_by=stranger, name="C1")

    def case(verdict="approved with conditions", title="Case", valid_until="2199-06-06"):
        row = store.new_draft(organisation, user, title=title, inputs=TABLES)
        file = store.keep_file(organisation, user, name="a.csv", content=b"name\n")
        store.update_draft(row, user, inventory=file)
        store.conclude(row, user, record=sample_record() | {"verdict": verdict, "valid_until": valid_until})
        return row

    return SimpleNamespace(
        organisation=organisation, user=user, stranger=stranger, cabinet=cabinet, foreign=foreign, case=case
    )
