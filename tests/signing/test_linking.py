"""A signature cannot be moved, and nothing under it changed (21 CFR 11.70): any byte flipped, and it does not hold."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from signing.test_sign import signed
from stillroom.records import keys, models, statement
from stillroom.records.canonical import sha256

pytestmark = pytest.mark.django_db


@pytest.fixture
def pair(desk):
    return signed(desk), signed(desk)


def copy_of(validation):
    return models.Validation.objects.select_related("cabinet", "organisation", "supersedes").get(
        pk=validation.pk
    )


FIELDS = (
    "record_text", "record_sha256", "meaning", "signer_name", "statement_sha256", "signature", "key_id", "head",
)  # fmt: skip


@settings(max_examples=500, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(name=st.sampled_from(FIELDS), place=st.floats(0, 1, exclude_max=True), bit=st.integers(0, 6))
def test_any_flipped_byte_is_found(pair, name, place, bit):
    if not hasattr(pair[0], "whole"):
        pair[0].whole = copy_of(pair[0])
    row = pair[0].whole
    old = getattr(row, name)
    data = bytearray(old.encode())
    data[int(place * len(data))] ^= 1 << bit
    new = data.decode("utf-8", errors="replace")
    setattr(row, name, new)
    try:
        assert new == old or statement.faults(row, keys.public_keys())
    finally:
        setattr(row, name, old)


@pytest.mark.parametrize(
    "change",
    [
        {"number": 7}, {"version": 7}, {"signer_id": 999}, {"event_seq": 0}, {"valid_until": None},
        {"signed_at": timedelta(microseconds=1)}, {"supersedes": None},
    ],
    ids=str,
)  # fmt: skip
def test_any_changed_number_date_or_person_is_found(pair, change):
    row = copy_of(pair[1])
    assert statement.faults(row, keys.public_keys()) == []
    for name, value in change.items():
        setattr(row, name, row.signed_at + value if isinstance(value, timedelta) else value)
    assert statement.faults(row, keys.public_keys())


def test_a_copied_signature_does_not_hold_under_another_record(pair):
    first, second = (copy_of(row) for row in pair)
    for name in ("signature", "statement_sha256", "key_id"):
        setattr(second, name, getattr(first, name))
    assert statement.faults(second, keys.public_keys())


def test_new_hashes_over_a_changed_record_do_not_help_without_the_key(pair):
    row = copy_of(pair[0])
    row.record_text = row.record_text.replace("approved", "Approved", 1)
    row.record_sha256 = sha256(row.record_text)
    row.statement_sha256 = sha256(statement.statement(row))
    assert any("signature does not belong" in words for words in statement.faults(row, keys.public_keys()))


def test_another_key_is_not_taken(pair):
    row = copy_of(pair[0])
    statement.seal(row, keys.Key.new())
    assert any("trail-keys" in words for words in statement.faults(row, keys.public_keys()))
