"""The demo's two records, computed once: invented, but of the size and untidiness that papers meet."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from stillroom.assessment.record import Record
from stillroom.cli.commands.demo import command


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("demo")
    CliRunner().invoke(command, ["--out", str(out)], catch_exceptions=False)
    return out


@pytest.fixture
def demo_record(demo_folder: Path) -> Record:
    """30 substances in 61 containers, approved with conditions."""
    record: Record = json.loads((demo_folder / "record.json").read_text("utf-8"))
    return record


@pytest.fixture
def asked_record(demo_folder: Path) -> Record:
    """34 substances and a bottle without a label, not approved."""
    record: Record = json.loads((demo_folder / "asked" / "record.json").read_text("utf-8"))
    return record
