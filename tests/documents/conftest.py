"""Two records of the size and untidiness that papers meet; all of it invented."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from stillroom.assessment.record import Record
from stillroom.cli.commands.demo import command


def _read(path: Path) -> Record:
    record: Record = json.loads(path.read_text("utf-8"))
    return record


@pytest.fixture
def museum_record() -> Record:
    """The demo as it once came out, shortened: 30 substances in 61 containers, approved with conditions, 52 conflicts.

    Kept, so that a change of the physics is not a change of what the papers are tried on.
    """
    return _read(Path(__file__).parent / "data" / "museum.json")


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("demo")
    CliRunner().invoke(command, ["--out", str(out)], catch_exceptions=False)
    return out


@pytest.fixture
def demo_record(demo_folder: Path) -> Record:
    """The demo as it comes out today."""
    return _read(demo_folder / "record.json")


@pytest.fixture
def asked_record(demo_folder: Path) -> Record:
    """The demo as first asked: 34 substances and a bottle without a label, not approved."""
    return _read(demo_folder / "asked" / "record.json")
