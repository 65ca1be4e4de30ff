"""What a signature under a validation covers, how it is put there, and whether it still holds."""

from __future__ import annotations

from collections.abc import Mapping

from stillroom.records.canonical import canonical, sha256
from stillroom.records.keys import Key, verifies
from stillroom.records.models import Validation

__all__ = ["faults", "seal", "statement"]


def statement(validation: Validation) -> str:
    """The signed text: canonical JSON of what the record is, who signed it, as what, when, and in whose place."""
    before = validation.supersedes
    return canonical(
        {
            "kind": "stillroom validation, 1",
            "organisation": validation.organisation.key,
            "cabinet": validation.cabinet.key,
            "validation": validation.key,
            "number": validation.number,
            "version": validation.version,
            "record_sha256": validation.record_sha256,
            "meaning": str(validation.meaning),
            "signer": validation.signer_id,
            "signer_name": validation.signer_name,
            "signed_at": validation.signed_at,
            "valid_until": validation.valid_until,
            "supersedes": before.key if before else None,
            "event_seq": validation.event_seq,
            "head": validation.head,
        }
    )


def seal(validation: Validation, key: Key) -> None:
    """Hash and sign a validation whose other fields are all there; it is not saved."""
    validation.record_sha256 = sha256(validation.record_text)
    text = statement(validation)
    validation.statement_sha256 = sha256(text)
    validation.key_id, validation.signature = key.id, key.sign(text)


def faults(validation: Validation, keys: Mapping[str, bytes]) -> list[str]:
    """What does not hold of a stored validation: its record's hash, its statement's hash, its signature."""
    found = []
    if sha256(validation.record_text) != validation.record_sha256:
        found.append("the record is not the one that was signed")
    text = statement(validation)
    if sha256(text) != validation.statement_sha256:
        found.append("what was signed (meaning, name, time, number, date) was altered")
    if validation.key_id not in keys:
        found.append(f"it is signed by a key that is not in trail-keys.txt ({validation.key_id or 'none'})")
    elif not verifies(keys[validation.key_id], text, validation.signature):
        found.append("the signature does not belong to it")
    return found
