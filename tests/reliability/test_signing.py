"""Signing under faults, kill -9 and two hands at once: signed wholly or not at all, once, and never lost when acknowledged."""

from __future__ import annotations

import random

import pytest
from django.db import OperationalError, connection

from records.conftest import two  # noqa: F401
from reliability.faults import at_every_statement
from reliability.test_faults import state
from signing.conftest import PASSWORD, desk, password_hash  # noqa: F401
from stillroom.records import models, trail
from stillroom.services.review import review
from stillroom.services.sign import sign
from stillroom.services.withdraw import withdraw

TIMES = 20
APPROVED = "approved and responsible"
PREPARE = """
from documents.sample_record import sample_record
from stillroom.services.sign import CannotSign, sign
TABLES = {"cabinet": {"cabinet": {"name": "C"}}, "room": {"room": {"name": "R"}}}
def case(title="t"):
    row = store.new_draft(organisation, user, title=title, inputs=TABLES)
    file = store.keep_file(organisation, user, name="a.csv", content=b"name")
    store.update_draft(row, user, inventory=file)
    store.conclude(row, user, record=sample_record() | {"valid_until": "2199-06-06"})
    return row
cabinet = models.Cabinet.objects.get(place="0")
def signed(row):
    return sign(row, user, cabinet=cabinet, meaning="approved and responsible", password="-", continued=True, check=lambda *_: True)
"""

WORK = "while True:\n    print(signed(case()).key, flush=True)\n"


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("forever", [False, True], ids=["once", "for good"])
@pytest.mark.parametrize("verb", ["sign", "sign in place of another", "withdraw", "review"])
def test_all_or_nothing_at_every_statement(desk, verb, forever):  # noqa: F811
    given = {"cabinet": desk.cabinet, "meaning": APPROVED, "username": "one", "password": PASSWORD}
    first = sign(desk.case(), desk.user, **given) if verb != "sign" else None
    case = desk.case()
    if verb == "review":
        with trail.writing(None, desk.user, reason="a second person comes"):
            second = models.User.objects.create(username="third", full_name="Third")
            models.Membership.objects.create(user=second, organisation=desk.organisation, role="validator")

    def act():
        if verb == "review":
            row = models.Validation.objects.get(pk=first.pk)
            review(row, second, password="-", username="third", check=lambda *_: True)
        elif verb == "withdraw":
            row = models.Validation.objects.get(pk=first.pk)
            withdraw(row, desk.user, reason="r", password=PASSWORD)
        else:
            sign(models.Assessment.objects.get(pk=case.pk), desk.user, **given)

    assert at_every_statement(act, state, forever=forever) >= 8


@pytest.mark.django_db(transaction=True)
def test_a_commit_that_fails_signs_nothing(desk, monkeypatch):  # noqa: F811
    case, before = desk.case(), None
    before = state()

    def fails():
        raise OperationalError("a fault of the test")

    with monkeypatch.context() as patch:
        patch.setattr(connection, "_commit", fails)
        with pytest.raises(OperationalError):
            sign(case, desk.user, cabinet=desk.cabinet, meaning=APPROVED, username="one", password=PASSWORD)
    assert state() == before


def test_killed_while_signing(place):
    """What was acknowledged is signed and verifies; nothing is half signed (`look` verifies chain, rows and signatures)."""
    chance = random.Random(20261125)
    kills = [(1, chance.uniform(0, 0.15)) for _ in range(TIMES)]
    prepare = PREPARE + "print(signed(case()).key, flush=True)\n"  # by then everything is loaded
    acknowledged = [key for said in place.lives(WORK, kills, prepare=prepare) for key in said]
    there = place.look("print(*models.Validation.objects.values_list('key', flat=True))").split()
    assert len(acknowledged) >= TIMES
    assert set(acknowledged) <= set(there)
    assert len(there) <= len(acknowledged) + TIMES
    print(f"signing: {TIMES} kills, {len(acknowledged)} acknowledged, {len(there)} there")
    standing = place.run(
        "print(models.Validation.objects.filter(superseded_by=None).count(), models.Validation.objects.count())"
    ).split()
    assert standing == ["1", str(len(there))], "each took the place of the one before"


def test_two_hands_sign_the_same_case_and_one_does(place):
    key = place.run(PREPARE + "\nprint(case().key)").strip()
    work = (
        PREPARE
        + f"""
row = models.Assessment.objects.get(key={key!r})
print("ready", flush=True)
import sys
sys.stdin.readline()
try:
    print("signed", signed(row).key)
except CannotSign:
    print("refused")
"""
    )
    for _ in range(1):
        children = [place.start(work) for _ in range(4)]
        for child in children:
            assert child.stdout.readline().strip() == "ready"
        for child in children:
            child.stdin.write("go\n")
            child.stdin.flush()
        answers = [child.communicate(timeout=60)[0].split()[0] for child in children]
    assert sorted(answers) == ["refused", "refused", "refused", "signed"]
    assert place.look("print(models.Validation.objects.count())").strip() == "1"
