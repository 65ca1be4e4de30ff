"""What a signature under a validation, or under its review, covers, how it is put there, and whether it still holds."""

from __future__ import annotations

from collections.abc import Mapping

from stillroom.records.canonical import canonical, sha256
from stillroom.records.keys import Key, verifies
from stillroom.records.models import Review, Validation

__all__ = ["faults", "review_faults", "review_statement", "seal", "seal_review", "statement"]


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
    _sign(validation, statement(validation), key)


def faults(validation: Validation, keys: Mapping[str, bytes]) -> list[str]:
    """What does not hold of a stored validation: its record's hash, its statement's hash, its signature."""
    found = []
    if sha256(validation.record_text) != validation.record_sha256:
        found.append("the record is not the one that was signed")
    return found + _faults(validation, statement(validation), keys)


def review_statement(review: Review) -> str:
    """The signed text of a review: canonical JSON of which validation, by its own hash, who reviewed it, and when."""
    signed = review.validation
    return canonical(
        {
            "kind": "stillroom review, 1",
            "organisation": review.organisation.key,
            "validation": signed.key,
            "number": signed.number,
            "record_sha256": signed.record_sha256,
            "validation_sha256": signed.statement_sha256,
            "meaning": str(review.meaning),
            "reviewer": review.reviewer_id,
            "reviewer_name": review.reviewer_name,
            "reviewed_at": review.reviewed_at,
            "event_seq": review.event_seq,
            "head": review.head,
        }
    )


def seal_review(review: Review, key: Key) -> None:
    """Hash and sign a review whose other fields are all there; it is not saved."""
    _sign(review, review_statement(review), key)


def review_faults(review: Review, keys: Mapping[str, bytes]) -> list[str]:
    """What does not hold of a stored review: that another person made it, its statement's hash, its signature."""
    found = []
    if review.reviewer_id == review.validation.signer_id:
        found.append("who signed it reviewed it")
    return found + _faults(review, review_statement(review), keys)


def _sign(row: Validation | Review, text: str, key: Key) -> None:
    row.statement_sha256 = sha256(text)
    row.key_id, row.signature = key.id, key.sign(text)


def _faults(row: Validation | Review, text: str, keys: Mapping[str, bytes]) -> list[str]:
    found = []
    if sha256(text) != row.statement_sha256:
        found.append("what was signed (meaning, name, time, number, date) was altered")
    if row.key_id not in keys:
        found.append(f"it is signed by a key that is not in trail-keys.txt ({row.key_id or 'none'})")
    elif not verifies(keys[row.key_id], text, row.signature):
        found.append("the signature does not belong to it")
    return found
