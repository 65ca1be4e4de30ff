"""Every paper of one record."""

from __future__ import annotations

import json

from stillroom.assessment.record import Record

__all__ = ["as_json", "papers"]


def as_json(record: Record) -> bytes:
    """``record.json``: UTF-8, keys in the schema's order, a line break at the end; signed, the very text that was signed."""
    if record["signature"]:
        from stillroom.records.canonical import canonical

        return canonical(record).encode()
    return (json.dumps(record, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()


def papers(record: Record, *, base_url: str = "", path: str = "") -> dict[str, bytes]:
    """File name to content: record.json, record.pdf, label.pdf (A5), label-a6.pdf, shelves.pdf.

    Parameters
    ----------
    record : Record
    base_url : str
        Where the label's link leads; a plain path where none is given.
    path : str
        Of the label's own page below it, for a signed record; without, by the record's number.
    """
    from stillroom import documents

    base = base_url.rstrip("/") or "https://stillroom.invalid"
    url = f"{base}/{path}" if path else f"{base}/L/{record['number']}"
    return {
        "record.json": as_json(record),
        "record.pdf": documents.record_pdf(record),
        "label.pdf": documents.label_pdf(record, size="A5", url=url),
        "label-a6.pdf": documents.label_pdf(record, size="A6", url=url),
        "shelves.pdf": documents.shelves_pdf(record),
    }
