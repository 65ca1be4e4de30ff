"""Where the code on a door label leads: this server, and nowhere that a visitor's browser could choose."""

from __future__ import annotations

import json

import pytest
from django.urls import reverse

from stillroom.records.store import conclude, copy_of
from stillroom.web.shared import core
from stillroom.web.shared.address import only_here
from web.stubs import fake_assess, fake_papers
from web.test_security import run

BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture
def asked(ours, monkeypatch):
    """The addresses that papers were made with."""
    seen = []
    monkeypatch.setattr(
        core, "papers", lambda record, base: (seen.append(base), fake_papers(record, base))[1]
    )
    return seen


def label(client, side, **where):
    return client.get(reverse("paper", kwargs={"key": side.copy.key, "name": "label.pdf"}), **where)


def test_the_host_that_was_asked(asked, ours, validator, settings):
    settings.ALLOWED_HOSTS = ["cabinets.example"]
    assert label(validator, ours, HTTP_HOST="cabinets.example:8443").status_code == 200
    assert label(validator, ours, HTTP_HOST="cabinets.example", secure=True).status_code == 200
    assert asked == ["http://cabinets.example:8443", "https://cabinets.example"]


def test_a_forged_host_makes_no_label(asked, ours, validator, settings):
    """OWASP ASVS 5.0, 4.1: a Host header is not trusted beyond the list of allowed hosts."""
    settings.ALLOWED_HOSTS = ["cabinets.example"]
    assert label(validator, ours, HTTP_HOST="evil.example").status_code == 400
    forged = {"HTTP_X_FORWARDED_HOST": "evil.example"}
    assert label(validator, ours, HTTP_HOST="cabinets.example", **forged).status_code == 200
    assert asked == ["http://cabinets.example"]


def test_the_setting_goes_first(asked, ours, validator, settings):
    settings.BASE_URL = "https://stillroom.example/lab"
    label(validator, ours)
    assert asked == ["https://stillroom.example/lab"]


@pytest.mark.parametrize(
    ("stated", "kept"),
    [(" https://stillroom.example/ ", "https://stillroom.example"), ("http://10.0.0.5:8000", "http://10.0.0.5:8000"),
     ("", "")],
)  # fmt: skip
def test_the_setting_as_people_write_it(stated, kept):
    code = "from stillroom.web import settings as s; import json; print(json.dumps([s.BASE_URL, s.ALLOWED_HOSTS]))"
    done = run(code, STILLROOM_BASE_URL=stated)
    assert done.returncode == 0, done.stderr
    base, hosts = json.loads(done.stdout)
    assert base == kept
    assert not kept or kept.split("//")[1].split(":")[0] in hosts, "visitors from the label are let in"


@pytest.mark.parametrize("stated", ["stillroom.example", "ftp://x", "https://", "https://a?b", "https://u@a"])
def test_a_setting_that_is_no_address_stops_the_start(stated):
    done = run("from stillroom.web import settings", STILLROOM_BASE_URL=stated)
    assert done.returncode != 0
    assert "Write the address that people type" in done.stderr


def test_the_link_opens_the_newest_result_of_its_organisation(ours, theirs, client):
    """The same inputs on the same day give the same number: two assessments of an organisation may share it."""
    number = ours.done.record["number"]
    place = reverse("door", kwargs={"number": number})
    client.force_login(ours.people["reader"], backend=BACKEND)
    assert client.get(place)["Location"] == reverse("result", kwargs={"key": ours.copy.key})
    later = copy_of(ours.done, ours.people["validator"])
    conclude(later, ours.people["validator"], record=fake_assess(later) | {"number": number})
    assert client.get(place)["Location"] == reverse("result", kwargs={"key": later.key})
    client.force_login(theirs.people["reader"], backend=BACKEND)
    assert client.get(place).status_code == 404
    ours_too = {"number": number}
    theirs.done = copy_of(theirs.done, theirs.people["validator"])
    conclude(theirs.done, theirs.people["validator"], record=fake_assess(theirs.done) | ours_too)
    assert client.get(place)["Location"] == reverse("result", kwargs={"key": theirs.done.key}), "each its own"


def test_who_scans_it_signed_out_is_asked_to_sign_in_first(ours, client):
    response = client.get(reverse("door", kwargs={"number": ours.done.record["number"]}))
    assert response["Location"].startswith("/login/?next=/L/")


def test_an_address_that_fits_no_label_is_told(ours, validator, settings, monkeypatch):
    from stillroom.errors import StillroomError

    def too_long(record, base):
        raise StillroomError("the address does not fit. Give a shorter one")

    monkeypatch.setattr(core, "papers", too_long)
    response = label(validator, ours)
    assert response.status_code == 500
    assert "Give a shorter one" in response.content.decode()


def test_a_server_for_this_computer_only_says_so_beside_the_papers(ours, validator, settings):
    place = reverse("result", kwargs={"key": ours.done.key})
    assert "only this computer can open" in validator.get(place, HTTP_HOST="127.0.0.1:8000").content.decode()
    assert "only this computer can open" not in validator.get(place).content.decode()
    assert [only_here(base) for base in ("http://[::1]:8000", "http://localhost", "https://a.example")] == [
        True, True, False,
    ]  # fmt: skip
