"""What is done to stored rows: numbers, drafts, results that stay, definitions with versions, the first user."""

from __future__ import annotations

import hashlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from documents.sample_record import refused_record, sample_record
from stillroom.records import store

TABLES = {"cabinet": {"cabinet": {"name": "C"}}, "room": {"room": {"name": "R"}}}


def case(side, **inputs):
    organisation, user = side
    return store.new_draft(organisation, user, title="t", inputs=TABLES | inputs)


def test_numbers_run_by_organisation(two):
    assert [case(two[0]).number, case(two[0]).number, case(two[1]).number] == [1, 2, 1]


def test_a_result_is_kept_whole_and_once(two):
    draft = case(two[0])
    record = sample_record()
    store.conclude(draft, two[0][1], record=record)
    assert draft.record == record
    assert (draft.state, draft.verdict, str(draft.life_ends)) == (
        "assessed",
        record["verdict"],
        record["life_ends"],
    )
    assert draft.record_sha256 == store.digest(record)
    assert draft.versions == record["versions"]
    with pytest.raises(store.AlreadyAssessed):
        store.conclude(draft, two[0][1], record=record)
    with pytest.raises(store.AlreadyAssessed):
        store.update_draft(draft, two[0][1], title="another")


def test_a_result_of_other_inputs_is_not_kept(two):
    draft = case(two[0])
    seen = type(draft).objects.get(pk=draft.pk)
    store.update_draft(draft, two[0][1], room={"room": {"name": "another"}})
    with pytest.raises(store.AlreadyAssessed):
        store.conclude(seen, two[0][1], record=sample_record())
    draft.refresh_from_db()
    assert draft.is_draft and draft.record is None


def test_a_refusal_has_no_day_on_which_a_life_ends(two):
    draft = case(two[0])
    store.conclude(draft, two[0][1], record=refused_record())
    assert draft.life_ends is None


def test_a_copy_remembers_its_origin_and_leaves_it(two):
    first = case(two[0])
    store.conclude(first, two[0][1], record=sample_record())
    copy = store.copy_of(first, two[0][1])
    store.update_draft(copy, two[0][1], room={"room": {"name": "changed"}})
    first.refresh_from_db()
    assert (copy.parent, copy.number, copy.is_draft) == (first, 2, True)
    assert first.inputs["room"] == TABLES["room"]


def test_an_equal_definition_is_one_version_and_a_changed_one_the_next(two):
    versions = []
    for flow in (1, 1, 2):
        draft = case(two[0], cabinet={"cabinet": {"name": "C", "flow": flow}})
        store.conclude(draft, two[0][1], record=sample_record())
        versions.append(draft.cabinet.version)
    other = case(two[1], cabinet={"cabinet": {"name": "C", "flow": 9}})
    store.conclude(other, two[1][1], record=sample_record())
    assert versions == [1, 1, 2]
    assert other.cabinet.version == 1


def test_a_file_is_kept_byte_for_byte(two):
    content = bytes(range(256))
    kept = store.keep_file(*two[0], name="x" * 300, content=content)
    kept.refresh_from_db()
    assert bytes(kept.content) == content
    assert kept.sha256 == hashlib.sha256(content).hexdigest()
    assert len(kept.name) == 255


@pytest.mark.django_db
def test_the_first_user_is_made_once():
    assert store.no_user_yet()
    store.first_user(username="a", full_name="A", password_hash="!", organisation="O")
    assert not store.no_user_yet()
    with pytest.raises(store.AlreadyInstalled):
        store.first_user(username="b", full_name="B", password_hash="!", organisation="P")


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=10,
)


@given(st.dictionaries(st.text(), JSON, max_size=6))
def test_the_digest_does_not_depend_on_the_order_of_keys(value):
    assert store.digest(value) == store.digest(dict(reversed(value.items())))
