"""The admin site writes people and organisations through the trail, and changes nothing that is kept."""

from __future__ import annotations

import json

import pytest
from django.urls import reverse

from stillroom.records import models, trail


@pytest.fixture
def staff(two, client):
    user = two[0][1]
    user.is_staff = user.is_superuser = True
    with trail.writing(None, user, reason="more rights"):
        user.save()
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return client


INLINE = {f"memberships-{name}_FORMS": "0" for name in ("TOTAL", "INITIAL", "MIN_NUM", "MAX_NUM")}


def test_a_new_person_and_their_changes_are_in_the_trail(staff, two):
    password = "five invented words here 9"
    given = {"username": "eve", "password1": password, "password2": password, "usable_password": "true"}
    response = staff.post(reverse("admin:records_user_add"), given | INLINE)
    eve = models.User.objects.get(username="eve")
    assert response.status_code == 302
    first = models.Event.objects.filter(subject=f"user:{eve.pk}").first()
    assert (first.action, first.actor, first.log) == ("user.created", "one", "installation")

    inline = INLINE | {
        "memberships-TOTAL_FORMS": "1", "memberships-MAX_NUM_FORMS": "9", "memberships-0-user": eve.pk,
        "memberships-0-organisation": two[1][0].pk, "memberships-0-role": "reader",
    }  # fmt: skip
    changed = {"username": "mallory", "full_name": "Eve Invented", "is_active": "on"} | inline
    assert staff.post(reverse("admin:records_user_change", args=[eve.pk]), changed).status_code == 302
    eve.refresh_from_db()
    assert (eve.username, eve.full_name) == ("eve", "Eve Invented"), "a name is never given to another"
    last = models.Event.objects.filter(subject=f"user:{eve.pk}").last()
    assert json.loads(last.body)["new"] == {"full_name": "Eve Invented"}
    place = models.Event.objects.get(subject=f"membership:{eve.memberships.get().pk}")
    assert place.log == two[1][0].key

    again = {"password1": password + "x", "password2": password + "x", "usable_password": "true"}
    place = reverse("admin:auth_user_password_change", args=[eve.pk])
    assert staff.post(place, again).status_code == 302
    eve.refresh_from_db()
    assert eve.check_password(password + "x")


def test_no_transaction_waits_for_a_passwords_hash(staff, two, monkeypatch):
    """Hashing takes a good part of a second; an organisation's writers wait for each other."""
    from django.contrib.auth.hashers import Argon2PasswordHasher

    inside, hash_now = [], Argon2PasswordHasher.encode

    def encode(hasher, password, salt):
        inside.append(trail._current.get() is not None)
        return hash_now(hasher, password, salt)

    monkeypatch.setattr(Argon2PasswordHasher, "encode", encode)
    password = "five invented words here 9"
    given = {"username": "eve", "password1": password, "password2": password, "usable_password": "true"}
    staff.post(reverse("admin:records_user_add"), given | INLINE)
    eve = models.User.objects.get(username="eve")
    assert inside == [False] and eve.check_password(password)
    again = {"password1": password + "x", "password2": password + "x", "usable_password": "true"}
    staff.post(reverse("admin:auth_user_password_change", args=[eve.pk]), again)
    eve.refresh_from_db()
    assert inside == [False, False] and eve.check_password(password + "x")


def test_what_is_kept_can_be_seen_and_not_changed(staff, rows):
    for kind in set(rows) - {"draft", "User", "Organisation", "Membership", "Installation"}:
        row = rows[kind]
        name = row._meta.model_name
        place = reverse(f"admin:records_{name}_change", args=[row.pk])
        assert staff.get(place).status_code == 200, kind
        before = type(row).stored(row.pk)
        assert staff.post(place, {"note": "changed"}).status_code == 403
        assert (
            staff.post(reverse(f"admin:records_{name}_delete", args=[row.pk]), {"post": "yes"}).status_code
            == 403
        )
        assert staff.get(reverse(f"admin:records_{name}_add")).status_code == 403
        assert type(row).stored(row.pk) == before


def test_the_trail_is_shown_to_its_own_organisation(staff, two):
    mine, theirs = (models.Event.objects.filter(log=organisation.key).first() for organisation, _ in two)
    assert staff.get(reverse("admin:records_event_change", args=[mine.pk])).status_code == 200
    assert staff.get(reverse("admin:records_event_change", args=[theirs.pk])).status_code == 302
