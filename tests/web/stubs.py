"""Stand-ins for the computing parts: an invented record, so that the pages' tests are about the pages."""

from __future__ import annotations

from typing import Any

from documents.sample_record import approved_record, refused_record, sample_record, unsure_record

__all__ = ["RECORDS", "fake_assess", "fake_papers"]

RECORDS = {
    "approved": approved_record,
    "approved with conditions": sample_record,
    "not approved": refused_record,
    "cannot tell": unsure_record,
}


def fake_assess(assessment: Any) -> dict[str, Any]:
    """The sample record; a room of fewer than two air changes is refused, so that a change shows."""
    room = assessment.inputs["room"]["room"]
    record: dict[str, Any] = dict(sample_record() if room["air_changes_per_h"] >= 2 else refused_record())
    record["room"] = record["room"] | {"air_changes_per_h": room["air_changes_per_h"]}
    number = f"261104-{assessment.organisation.name.split()[0].upper()}"
    return record | {"title": assessment.title, "date": assessment.inputs["date"], "number": number}


def fake_papers(record: Any, base_url: str, path: str = "", review: Any = None) -> dict[str, bytes]:
    names = ("record.pdf", "label.pdf", "label-a6.pdf", "shelves.pdf")
    return dict.fromkeys(names, b"%PDF-1.7 invented") | {"record.json": b"{}"}
