"""First user, sign-in, lockout, password (OWASP ASVS 5.0: 6.2, 6.3.1, 6.3.2, 7.2.4, 7.4.1)."""

from __future__ import annotations

import pytest

from stillroom.records.models import Membership, User
from stillroom.records.trail import writing

GOOD = {
    "organisation": "Invented Works",
    "full_name": "Ada Invented",
    "username": "ada",
    "password": "five invented words here 9",
}


@pytest.mark.django_db
def test_a_fresh_installation_has_no_user_and_asks_for_the_first(client):
    assert User.objects.count() == 0
    assert client.get("/login/")["Location"] == "/first/"
    assert client.get("/first/").status_code == 200
    response = client.post("/first/", GOOD)
    assert response["Location"] == "/assessments/"
    user = User.objects.get()
    assert user.password.startswith("argon2$argon2id$")
    assert Membership.objects.get().role == "owner"
    assert client.get("/assessments/").status_code == 200
    client.post("/logout/")
    assert client.get("/first/").status_code == 404
    assert client.post("/first/", GOOD | {"username": "eve"}).status_code == 404
    assert User.objects.count() == 1


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"password": "password1234"}, "too common"),
        ({"password": "short"}, "12 characters"),
        ({"username": "a b!"}, "User name can hold"),
        ({"organisation": " "}, "Enter the name of your organisation"),
    ],
)
def test_a_first_user_that_cannot_be(client, change, words):
    response = client.post("/first/", GOOD | change)
    text = response.content.decode()
    assert words in text
    assert "<title>Error: " in text
    assert User.objects.count() == 0
    assert f'value="{GOOD["full_name"]}"' in text, "what was right is kept"


@pytest.mark.django_db
def test_a_long_password_is_taken(client):
    client.post("/first/", GOOD | {"password": "w" * 100 + " long enough"})
    assert User.objects.get().check_password("w" * 100 + " long enough")


def sign_in(client, password="five invented words here 9", name="ours-owner", **where):
    return client.post("/login/", {"username": name, "password": password}, **where)


def test_sign_in_and_out(ours, client):
    client.get("/login/")
    assert sign_in(client, "wrong").status_code == 200
    assert sign_in(client)["Location"] == "/assessments/"
    cookie = client.cookies["sessionid"].value
    client.post("/logout/")
    client.cookies["sessionid"] = cookie
    assert client.get("/assessments/").status_code == 302, "the old cookie opens nothing"


@pytest.mark.parametrize(
    ("going", "goes"),
    [
        ("/substances/", "/substances/"),
        ("https://evil.example/", "/assessments/"),
        ("//evil.example", "/assessments/"),
    ],
)
def test_after_sign_in_one_stays_here(ours, client, going, goes):
    response = client.post(
        "/login/", {"username": "ours-owner", "password": "five invented words here 9", "next": going}
    )
    assert response["Location"] == goes


def test_ten_failures_lock_that_name_from_that_place_only(ours, client):
    for _ in range(9):
        assert sign_in(client, "wrong", REMOTE_ADDR="192.0.2.1").status_code == 200
    locked = sign_in(client, "wrong", REMOTE_ADDR="192.0.2.1")
    assert locked.status_code == 429
    assert "Wait a quarter of an hour" in locked.content.decode()
    assert sign_in(client, REMOTE_ADDR="192.0.2.1").status_code == 429, "also with the right password"
    assert sign_in(client, REMOTE_ADDR="192.0.2.2").status_code == 302, "the owner gets in from elsewhere"


def test_a_forged_header_does_not_move_the_place(ours, client):
    for n in range(10):
        last = sign_in(client, "wrong", REMOTE_ADDR="192.0.2.1", HTTP_X_FORWARDED_FOR=f"198.51.100.{n}")
    assert last.status_code == 429


def test_a_deactivated_person_is_out_at_once(ours, validator):
    assert validator.get("/assessments/").status_code == 200
    user = ours.people["validator"]
    user.is_active = False
    with writing(None, "test", reason="has left"):
        user.save()
    assert validator.get("/assessments/").status_code == 302


def test_a_new_password(ours, client):
    sign_in(client)
    wrong = client.post("/account/", {"old": "no", "new": "another invented phrase 5"})
    assert "does not match" in wrong.content.decode()
    before = client.cookies["sessionid"].value
    done = client.post("/account/", {"old": "five invented words here 9", "new": "another invented phrase 5"})
    assert done.status_code == 302
    assert client.cookies["sessionid"].value != before
    assert client.get("/assessments/").status_code == 200
    client.post("/logout/")
    assert sign_in(client, "another invented phrase 5").status_code == 302


def test_pasting_into_password_fields_is_allowed(ours, client):
    text = client.get("/login/").content.decode()
    assert 'autocomplete="current-password"' in text
    assert "onpaste" not in text
