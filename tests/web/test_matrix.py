"""Who may use which address. Every address of the resolver has a row here; a new one without a row fails.

Anonymous visitors are sent to the sign-in; another organisation's things are as absent as what never was (OWASP
ASVS 5.0, 8.2.1 and 8.2.2); readers may not change.
"""

from __future__ import annotations

import pytest
from django.urls import URLPattern, get_resolver, reverse

# name -> (own member's GET, another organisation's GET, own reader's GET, own member's POST of nothing,
#          another organisation's POST). "-": no such thing.
OPEN, OWN, CASE, PUBLIC = "open", "own", "case", "public"
MATRIX = {
    "start": (OPEN, 302, 302, 302, 302),
    "first": (OPEN, 404, 404, 404, 404),
    "login": (OPEN, 302, 302, 302, 302),
    "logout": (OPEN, 405, 405, 405, 302),
    "account": (OWN, 200, 200, 200, 200),
    "substances": (OWN, 200, 200, 200, 405),
    "assessments": (OWN, 200, 200, 200, 405),
    "recheck": (OWN, 200, 200, 200, 302),
    "due": (OWN, 200, 200, 200, 405),
    "due-file": (OWN, 200, 200, 200, 405),
    "due-address": (OWN, 302, 302, 302, 200),
    "due-feed": (PUBLIC, 200, 200, 200, 405),
    "new": (OWN, 200, 200, 403, 200),
    # of a draft                member, stranger, reader, member's POST
    "inventory": (CASE, 200, 404, 403, 200),
    "table": (CASE, 200, 404, 403, 200),
    "reading": (CASE, 200, 404, 403, 200),
    "cabinet": (CASE, 200, 404, 403, 200),
    "filters": (CASE, 200, 404, 403, 200),
    "room": (CASE, 200, 404, 403, 200),
    "limits": (CASE, 200, 404, 403, 200),
    "by-hand": (CASE, 200, 404, 403, 200),
    "rules": (CASE, 200, 404, 403, 200),
    "check": (CASE, 200, 404, 403, 200),
    # of a finished assessment
    "result": (CASE, 200, 404, 200, 405),
    "change": (CASE, 405, 405, 405, 302),
    "recompute": (CASE, 302, 404, 302, 200),
    "difference": (CASE, 200, 404, 200, 405),
    "paper": (CASE, 200, 404, 200, 405),
    "door": (CASE, 302, 404, 302, 405),
    # instruments
    "instruments": (OWN, 200, 200, 200, 405),
    "instrument-new": (OWN, 200, 200, 403, 200),
    "instrument": (CASE, 200, 404, 200, 200),
    "calibration": (CASE, 200, 404, 403, 200),
    "savings": (OWN, 200, 200, 200, 200),
    # signed, and the cabinets
    "sign": (CASE, 200, 404, 403, 200),
    "validation": (CASE, 200, 404, 200, 405),
    "review": (CASE, 302, 404, 403, 302),
    "withdraw": (CASE, 200, 404, 403, 200),
    "signed-paper": (CASE, 200, 404, 200, 405),
    "label": (PUBLIC, 200, 200, 200, 405),
    "trail": (OWN, 200, 200, 200, 405),
    "cabinets": (OWN, 200, 200, 200, 405),
    "cabinet-new": (OWN, 200, 200, 403, 200),
    "kept": (CASE, 200, 404, 200, 200),
    # of a cabinet
    "visit": (CASE, 200, 404, 403, 200),
    "sensor": (CASE, 200, 404, 403, 200),
    "filter-change": (CASE, 200, 404, 200, 200),
    "visit-answer": (CASE, 200, 404, 200, 405),
    "strike": (CASE, 200, 404, 403, 200),
    "sensor-answer": (CASE, 200, 404, 200, 405),
    "spent": (CASE, 200, 404, 200, 405),
}
FINISHED = {"result", "change", "recompute", "difference", "paper", "door"}
UPKEEP = {
    "instrument": lambda side: side.instrument.key,
    "calibration": lambda side: side.instrument.key,
    "kept": lambda side: side.cabinet.key,
    "validation": lambda side: side.validation.key,
    "review": lambda side: side.validation.key,
    "withdraw": lambda side: side.validation.key,
    "label": lambda side: side.validation.label_token,
    "visit": lambda side: side.cabinet.key,
    "sensor": lambda side: side.cabinet.key,
    "filter-change": lambda side: side.cabinet.key,
    "visit-answer": lambda side: side.visit.key,
    "sensor-answer": lambda side: side.series.pk,
    "spent": lambda side: side.filter_change.key,
    "due-feed": lambda side: side.token,
}
ANONYMOUS = {"first": 404, "login": 200, "logout": 302, "start": 302, "label": 200, "due-feed": 200}


def names(resolver=None, prefix=""):
    for entry in (resolver or get_resolver()).url_patterns:
        if isinstance(entry, URLPattern):
            yield prefix + (entry.name or str(entry.pattern))
        else:
            yield from names(entry, f"{entry.namespace}:" if entry.namespace else prefix)


def address(name, side):
    if name == "due-file":
        return reverse(name, args=["csv"])
    if MATRIX[name][0] not in (CASE, PUBLIC):
        return reverse(name)
    if name == "sign":
        return reverse(name, args=[side.copy.key])
    if name == "signed-paper":
        return reverse(name, args=[side.validation.key, "label.pdf"])
    if name == "strike":
        return reverse(name, args=[side.visit.key, 1])
    if name in UPKEEP:
        return reverse(name, args=[UPKEEP[name](side)])
    case = side.draft if name not in FINISHED else side.copy if name in ("difference", "paper") else side.done
    if name == "door":
        return reverse(name, kwargs={"number": case.record["number"]})
    arguments = {"key": case.key} | ({"name": "label.pdf"} if name == "paper" else {})
    return reverse(name, kwargs=arguments)


def test_every_address_has_a_row():
    ours = {name for name in names() if not name.startswith("admin:")}
    assert ours == set(MATRIX)


@pytest.mark.parametrize("name", MATRIX)
def test_anonymous(name, ours, client):
    for method in (client.get, client.post):
        response = method(address(name, ours))
        if name in ANONYMOUS and method == client.get:
            assert response.status_code in (ANONYMOUS[name], 405), response.status_code
        elif name not in ANONYMOUS:
            assert response.status_code == 302
            assert response["Location"].startswith("/login/?next=")


@pytest.mark.parametrize("name", MATRIX)
def test_members_readers_and_strangers(name, ours, theirs, client):
    kind, member, second, reader, post = MATRIX[name]
    place = address(name, ours)
    backend = "django.contrib.auth.backends.ModelBackend"

    client.force_login(ours.people["validator"], backend=backend)
    assert client.get(place).status_code == member
    if name != "logout":
        assert client.post(place).status_code == post

    client.force_login(ours.people["reader"], backend=backend)
    assert client.get(place).status_code == reader
    if kind == CASE:
        assert client.post(place).status_code in (403, 405)
        client.force_login(theirs.people["owner"], backend=backend)
        assert client.get(place).status_code == second
        assert client.post(place).status_code in (404, 405)


def test_someone_without_organisation_sees_nothing(ours, client):
    from stillroom.records.models import User
    from stillroom.records.trail import writing

    with writing(None, "test", reason="someone comes"):
        lonely = User.objects.create(username="lonely")
    client.force_login(lonely, backend="django.contrib.auth.backends.ModelBackend")
    for name in ("assessments", "new", "account", "substances"):
        assert client.get(reverse(name)).status_code == 403


def test_the_admin_site_is_for_staff(ours, client):
    admin = {name for name in names() if name.startswith("admin:")}
    assert len(admin) > 20
    client.force_login(ours.people["owner"], backend="django.contrib.auth.backends.ModelBackend")
    for name in sorted(admin):
        for arguments in ({}, {"args": [ours.done.pk]}, {"kwargs": {"app_label": "records"}}):
            try:
                place = reverse(name, **arguments)
            except Exception:  # another form of the address fits
                continue
            response = client.get(place)
            assert response.status_code in (301, 302, 405) or (
                name == "admin:login" and response.status_code == 200
            )


def test_staff_of_another_organisation_see_only_their_own_rows(ours, theirs, client):
    from stillroom.records.trail import writing

    user = theirs.people["owner"]
    user.is_staff = user.is_superuser = True
    with writing(None, "test", reason="more rights"):
        user.save()
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    assert client.get(reverse("admin:records_assessment_change", args=[theirs.done.pk])).status_code == 200
    response = client.get(reverse("admin:records_assessment_change", args=[ours.done.pk]))
    assert response.status_code == 302  # the admin site's way to say: there is no such row
    assert "ours" not in client.get(reverse("admin:records_storedfile_changelist")).content.decode()


@pytest.mark.parametrize("name", [name for name in MATRIX if name not in ("logout",)])
def test_looking_changes_nothing(name, ours, validator):
    from django.apps import apps

    def counted():
        return {model.__name__: list(model.objects.order_by("pk").values()) for model in apps.get_models()
                if model.__name__ not in ("Session", "User")}  # fmt: skip

    before = counted()
    validator.get(address(name, ours))
    assert counted() == before
