"""Every write of every kind of row has its event: old and new values, who, why, when, in the same transaction.

After 21 CFR 11.10(e) and EU GMP Annex 11, chapter 9.
"""

from __future__ import annotations

import datetime
import json

import pytest
from django.apps import apps
from django.contrib.auth.hashers import make_password

from audit.rows import CHANGES
from stillroom.records import models, store, trail
from stillroom.records.tracked import Tracked

KINDS = sorted(
    model.__name__ for model in apps.get_app_config("records").get_models() if issubclass(model, Tracked)
)


def last(subject):
    return models.Event.objects.filter(subject=subject).order_by("seq").last()


def subject(row):
    return type(row).subject_of(type(row).stored(row.pk))


def test_no_kind_of_row_is_forgotten(rows):
    everything = {model.__name__ for model in apps.get_app_config("records").get_models()}
    assert everything - {"Event", "Checkpoint"} == set(KINDS) == set(rows) - {"draft"} == set(CHANGES)


@pytest.mark.parametrize("kind", KINDS)
def test_a_new_row_has_an_event_with_all_its_values(kind, rows):
    row = rows[kind]
    first = models.Event.objects.filter(subject=subject(row)).order_by("seq").first()
    body = json.loads(first.body)
    assert body["old"] is None
    assert set(body["new"]) == set(type(row).tracked_fields())
    assert first.actor in ("one", "test") and first.reason
    assert first.log == ("installation" if kind in ("User", "Installation") else rows["Organisation"].key)


MUTABLE = [kind for kind in KINDS if getattr(models, kind).frozen_when == "never"]


@pytest.mark.parametrize("kind", [*MUTABLE, "draft"])
def test_a_change_has_an_event_with_old_and_new_values(kind, rows, two):
    row = rows[kind]
    name, value = next(iter(CHANGES[type(row).__name__].items()))
    old = type(row).noted({name: getattr(row, name)})[name]
    setattr(row, name, value)
    before = datetime.datetime.now(datetime.UTC)
    with trail.writing(None, two[1][1], reason="to see"):
        row.save()
    event = last(subject(row))
    assert json.loads(event.body) == {"old": {name: old}, "new": type(row).noted({name: value})}
    assert (event.actor, event.reason, event.action) == ("two", "to see", f"{row._meta.model_name}.changed")
    assert event.at.endswith("Z") and len(event.at) == 27
    assert before <= datetime.datetime.fromisoformat(event.at) <= datetime.datetime.now(datetime.UTC)


def test_a_deleted_row_leaves_its_values(rows, two):
    draft = rows["draft"]
    name = subject(draft)
    with trail.writing(*two[0], reason="a slip"):
        models.Assessment.objects.filter(pk=draft.pk).delete()
    event = last(name)
    assert event.action == "assessment.deleted"
    assert json.loads(event.body)["new"] is None and json.loads(event.body)["old"]["title"] == "a"


def test_a_row_saved_as_it_was_says_nothing(rows, two):
    before = models.Event.objects.count()
    with trail.writing(*two[0], reason="nothing"):
        rows["Cabinet"].save()
    assert models.Event.objects.count() == before


def test_several_saves_of_a_row_are_one_event_and_a_name_can_be_given(rows, two):
    cabinet = rows["Cabinet"]
    with trail.writing(*two[0], reason="moved") as write:
        for place in ("a", "b", "c"):
            cabinet.place = place
            cabinet.save()
        write.call(cabinet, "cabinet.moved")
    event = last(subject(cabinet))
    assert (event.action, json.loads(event.body)["new"]) == ("cabinet.moved", {"place": "c"})


class Fault(Exception):
    """Made by the test."""


def test_row_and_event_come_together_or_not_at_all(two):
    before = models.Event.objects.count()
    with pytest.raises(Fault), trail.writing(*two[0], reason="a fault"):
        models.Cabinet.objects.create(name="half", organisation=two[0][0], created_by=two[0][1])
        raise Fault
    assert not models.Cabinet.objects.exists()
    assert models.Event.objects.count() == before


def test_what_a_savepoint_took_back_has_no_event(two):
    own = {"organisation": two[0][0], "created_by": two[0][1]}
    with trail.writing(*two[0], reason="outer"):
        with pytest.raises(Fault), trail.writing(*two[0], reason="inner"):
            models.Cabinet.objects.create(name="taken back", **own)
            raise Fault
        kept = models.Cabinet.objects.create(name="kept", **own)
    assert [event.subject for event in trail.events(two[0][0])[:1]] == [f"cabinet:{kept.key}"]


def test_a_write_needs_a_reason(two):
    with pytest.raises(ValueError, match="reason"), trail.writing(*two[0], reason=" "):
        pass


def test_another_organisations_rows_are_not_written_by_the_way(two):
    with pytest.raises(trail.WrongOrganisation), trail.writing(*two[0], reason="by the way"):
        models.Cabinet.objects.create(name="theirs", organisation=two[1][0], created_by=two[0][1])
    with (
        pytest.raises(trail.WrongOrganisation),
        trail.writing(*two[0], reason="by the way"),
        trail.writing(*two[1], reason="inner"),
    ):
        pass
    assert not models.Cabinet.objects.exists()


def test_logs_are_apart_and_the_installations_log_knows_each(two):
    logs = {organisation.key for organisation, _ in two}
    assert set(models.Event.objects.values_list("log", flat=True)) == logs | {"installation"}
    opened = models.Event.objects.filter(log="installation", action="log.opened")
    firsts = {json.loads(event.body)["new"]["first"] for event in opened}
    assert firsts == set(models.Event.objects.filter(log__in=logs, seq=1).values_list("hash", flat=True))


def test_a_password_stands_in_no_event(two, settings):
    user = two[0][1]
    store.change_password(user, "five invented words here 9")
    event = last(f"user:{user.pk}")
    assert event.action == "user.changed" and set(json.loads(event.body)["new"]) == {"password"}
    user.refresh_from_db()
    assert user.password not in event.body and "argon2" not in event.body
    assert user.check_password("five invented words here 9")


def test_a_hash_of_former_strength_is_renewed_through_the_trail(two, settings):
    settings.PASSWORD_HASHERS = [
        "django.contrib.auth.hashers.Argon2PasswordHasher",
        "django.contrib.auth.hashers.PBKDF2PasswordHasher",
    ]
    user = two[0][1]
    with trail.writing(None, user, reason="former strength"):
        user.password = make_password("five invented words here 9", hasher="pbkdf2_sha256")
        user.save()
    assert user.check_password("five invented words here 9")
    user.refresh_from_db()
    assert user.password.startswith("argon2")
    assert "renewed" in last(f"user:{user.pk}").reason


def test_the_time_of_the_last_sign_in_is_no_event(two):
    before = models.Event.objects.count()
    user = two[0][1]
    user.last_login = datetime.datetime.now(datetime.UTC)
    user.save(update_fields=["last_login"])
    assert models.Event.objects.count() == before
