"""Every paper of one record."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, cast

from stillroom.assessment.record import Record

__all__ = ["as_json", "papers"]


def as_json(record: Record) -> bytes:
    """``record.json``: UTF-8, keys in the schema's order, a line break at the end; signed, the very text that was signed."""
    if record["signature"]:
        from stillroom.records.canonical import canonical

        return canonical(record).encode()
    return (json.dumps(record, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()


def papers(
    record: Record, *, base_url: str = "", path: str = "", review: Mapping[str, Any] | None = None
) -> dict[str, bytes]:
    """File name to content: record.json, record.pdf, label.pdf (A5), label-a6.pdf, shelves.pdf;
    review.json where it was reviewed.

    Parameters
    ----------
    record : Record
    base_url : str
        Where the label's link leads; a plain path where none is given.
    path : str
        Of the label's own page below it, for a signed record; without, by the record's number.
    review : mapping, optional
        Of the signed record (`review.as_data`): name, meaning and time stand beside the signature on every paper. The
        record as data stays the text that was signed.
    """
    from stillroom import documents

    base = base_url.rstrip("/") or "https://stillroom.invalid"
    url = f"{base}/{path}" if path else f"{base}/L/{record['number']}"
    shown = _reviewed(record, review) if review else record
    files = {
        "record.json": as_json(record),
        "record.pdf": documents.record_pdf(shown),
        "label.pdf": documents.label_pdf(shown, size="A5", url=url),
        "label-a6.pdf": documents.label_pdf(shown, size="A6", url=url),
        "shelves.pdf": documents.shelves_pdf(shown),
    }
    if review:
        from stillroom.records.canonical import canonical

        files["review.json"] = canonical(review).encode()
    return files


def _reviewed(record: Record, review: Mapping[str, Any]) -> Record:
    said = review["statement"]
    block = {
        "review_name": said["reviewer_name"],
        "review_meaning": said["meaning"],
        "review_time_utc": said["reviewed_at"],
    }
    return cast(Record, {**record, "signature": {**(record["signature"] or {}), **block}})
