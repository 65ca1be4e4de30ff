"""One door to what an organisation owns; the pages use no other."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.http import Http404

import stillroom.web
from stillroom.records import store
from stillroom.records.models import Assessment, Organisation
from stillroom.records.tenancy import membership_of, visible, visible_or_404


def test_only_the_own_rows_are_there(two):
    (one, user), (other, _stranger) = two
    mine = store.new_draft(one, user, title="mine", inputs={})
    assert list(visible(Assessment, one)) == [mine]
    assert not visible(Assessment, other).exists()
    assert not visible(Assessment, None).exists()
    with pytest.raises(Http404):
        visible_or_404(Assessment, other, key=mine.key)


def test_a_model_that_belongs_to_nobody_has_no_such_door(two):
    with pytest.raises(TypeError, match="belongs to no organisation"):
        visible(Organisation, two[0][0])


def test_nobody_has_no_membership():
    from django.contrib.auth.models import AnonymousUser

    assert membership_of(AnonymousUser()) is None


def test_pages_ask_no_manager():
    folder = Path(stillroom.web.__file__).parent
    asked = re.compile(r"\.objects\b|_default_manager|\.raw\(|\.extra\(|get_object_or_404")
    found = [str(file) for file in folder.rglob("*.py") if asked.search(file.read_text("utf-8"))]
    assert found == []


def test_migrations_are_complete(db):
    from django.core.management import call_command

    call_command("makemigrations", check=True, dry_run=True, verbosity=0)
