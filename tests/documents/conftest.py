"""Two records of the size and untidiness that papers meet; all of it invented."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from stillroom.assessment.record import Record


def _read(path: Path) -> Record:
    record: Record = json.loads(path.read_text("utf-8"))
    return record


@pytest.fixture
def museum_record() -> Record:
    """The demo as it once came out, shortened: 30 substances in 61 containers, approved with conditions, 52 conflicts.

    Kept, so that a change of the physics is not a change of what the papers are tried on.
    """
    return _read(Path(__file__).parent / "data" / "museum.json")


@pytest.fixture
def demo_record(the_demo: Path) -> Record:
    """The demo as it comes out today."""
    return _read(the_demo / "record.json")


@pytest.fixture
def asked_record(the_demo: Path) -> Record:
    """The demo as first asked: 34 substances and a bottle without a label, not approved."""
    return _read(the_demo / "asked" / "record.json")
