"""The chain's own arithmetic, against the published rules: RFC 8785, RFC 6962, RFC 8032, C2SP's notes."""

from __future__ import annotations

import base64
import hashlib

import pytest
import rfc8785
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stillroom.errors import InputError
from stillroom.records import merkle, notes
from stillroom.records.canonical import canonical, plain
from stillroom.records.chain import FIELDS, Entry, envelope, genesis, hash_of
from stillroom.records.keys import Key, key_id, read_public, verifies

TEXT = st.text(st.characters(exclude_categories=["Cs"]))
ENTRIES = st.builds(Entry, **dict.fromkeys(FIELDS, TEXT) | {"seq": st.integers(0, 2**53 - 1)})


@settings(
    suppress_health_check=[HealthCheck.too_slow]
)  # its tables are loaded at the first draw, on a busy machine slowly
@given(ENTRIES)
def test_the_hashed_text_is_rfc_8785(entry):
    covered = {name: value for name, value in entry._asdict().items() if name != "hash"}
    assert envelope(entry).encode() == rfc8785.dumps(covered)


@given(ENTRIES, st.sampled_from([name for name in FIELDS if name not in ("hash", "seq")]), TEXT)
def test_any_other_value_has_another_hash(entry, name, value):
    other = entry._replace(**{name: value})
    assert (hash_of(other) == hash_of(entry)) is (other == entry)
    assert hash_of(entry._replace(seq=entry.seq + 1)) != hash_of(entry)


def test_what_stands_before_the_first_event():
    assert genesis("abc") == hashlib.sha256(b"0" * 64 + b"abc").hexdigest() != genesis("abd")


def mth(leaves):
    """MTH of RFC 6962, section 2.1, as it is written there."""
    if not leaves:
        return hashlib.sha256(b"").digest()
    if len(leaves) == 1:
        return hashlib.sha256(b"\0" + leaves[0]).digest()
    k = 1
    while 2 * k < len(leaves):
        k *= 2
    return hashlib.sha256(b"\1" + mth(leaves[:k]) + mth(leaves[k:])).digest()


@pytest.mark.parametrize("size", range(40))
def test_the_root_is_that_of_rfc_6962_however_it_grew(size):
    leaves = [bytes([number]) * 32 for number in range(size)]
    for cut in range(size + 1):
        peaks: list[bytes] = []
        grown = merkle.grow(peaks, 0, leaves[:cut])
        assert merkle.root(peaks) == mth(leaves[:cut])
        assert merkle.grow(peaks, grown, leaves[cut:]) == size
        assert merkle.root(peaks) == mth(leaves)
        assert len(peaks) == size.bit_count()


# The eight leaves and roots of the test vectors that Certificate Transparency's implementations share
# (certificate-transparency-go, testdata: "", 00, 10, 2021, 3031, 40414243, 5051525354555657, 60…6f); from memory.
VECTOR = ["", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f"]


def test_the_roots_of_certificate_transparencys_vector():
    peaks: list[bytes] = []
    merkle.grow(peaks, 0, [bytes.fromhex(leaf) for leaf in VECTOR])
    assert merkle.root(peaks).hex() == "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328"


def test_a_signature_of_rfc_8032():
    # RFC 8032, section 7.1, test 2: one byte 0x72
    public = bytes.fromhex("3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c")
    signature = (
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
        "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
    )
    assert verifies(public, "\x72", signature)
    assert not verifies(public, "\x73", signature)
    assert not verifies(None, "\x72", signature)
    assert not verifies(public, "\x72", "nonsense")


def test_a_public_key_in_the_form_of_signed_notes():
    # C2SP signed-note: the key of its example, PeterNeumann+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW
    public = base64.b64decode("ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW")[1:]
    assert hashlib.sha256(b"PeterNeumann\n\x01" + public).hexdigest()[:8] == "c74f20a3"
    line = f"stillroom+{key_id(public)}+{base64.b64encode(bytes([1]) + public).decode()}"
    assert read_public(line) == {key_id(public): public}
    assert read_public(line.replace(key_id(public), "00000000")) == {}


def test_a_checkpoint_survives_its_file_and_no_letter_can_change():
    key = Key.new()
    note = notes.signed("abc", 1234, bytes(range(32)), "f" * 64, "2026-11-04T12:00:00.000000Z", key)
    content = notes.text(note)
    assert content.splitlines()[:3] == ["stillroom/abc", "1234", base64.b64encode(bytes(range(32))).decode()]
    assert notes.parse(content) == note
    for place in range(len(content)):
        other = content[:place] + chr(ord(content[place]) ^ 1) + content[place + 1 :]
        try:
            read = notes.parse(other)
        except InputError:
            continue
        assert read.key_id != key.id or not verifies(key.public, read.body, read.signature)


@given(st.integers(), st.floats(allow_nan=False, allow_infinity=False))
def test_numbers_keep_their_spelling_through_a_database(whole, real):
    # a database may give 1e22 back as a whole number, 1.0 as 1
    assert canonical(real) == canonical(int(real) if real.is_integer() else real)
    assert canonical(plain(whole)) == canonical(whole)
