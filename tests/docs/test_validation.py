"""docs/validation.md says what the scorecard finds."""

from __future__ import annotations

import os
import re
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "validation.md").read_text("utf-8")
needs_reference = pytest.mark.skipif(
    not os.environ.get("STILLROOM_REFERENCE"), reason="STILLROOM_REFERENCE is not set"
)


def test_the_page_has_its_sections_and_says_where_it_is_bad() -> None:
    for heading in (
        "A vapour left out",
        "A carbon left out",
        "Fitted above 30 Pa",
        "Mixtures",
        "Breakthrough",
        "Sources",
    ):
        assert f"## {heading}" in PAGE
    assert PAGE.count("Where it is bad") >= 3


@needs_reference
def test_the_page_is_what_the_scorecard_writes(tmp_path, monkeypatch) -> None:
    """Headlines to two digits: the last ones hang on the machine's arithmetic."""
    monkeypatch.syspath_prepend(str(ROOT))
    from tools.scorecard import __main__ as scorecard

    monkeypatch.setattr(scorecard, "ROOT", tmp_path)
    monkeypatch.setattr(scorecard, "IMAGES", tmp_path / "docs" / "images" / "validation")
    assert scorecard.main() == 0
    written = (tmp_path / "docs" / "validation.md").read_text("utf-8")
    assert {file.name for file in scorecard.IMAGES.iterdir()} == {
        "parity.png",
        "low.png",
        "transfer.png",
        "breakthrough.png",
    }

    def headlines(page: str) -> list[tuple[float, ...]]:
        found = re.findall(r"\*\*(\d+) points, median \|ln error\| ([\d.]+), .*? ([\d]+) % inside", page)
        return [tuple(float(part) for part in one) for one in found]

    def times(page: str) -> list[float]:
        found = re.search(r"\*\*(\d+) of (\d+) times inside .*?; rank correlation ([\d.]+) beside", page)
        return [float(part) for part in found.groups()] if found else []

    assert times(PAGE) == pytest.approx(times(written), abs=0.02)
    assert len(times(PAGE)) == 3
    assert len(headlines(PAGE)) == 4
    for ours, new in zip(headlines(PAGE), headlines(written), strict=True):
        assert ours == pytest.approx(new, rel=0.05, abs=0.005)


def test_without_the_data_it_says_so(monkeypatch, capsys) -> None:
    monkeypatch.syspath_prepend(str(ROOT))
    monkeypatch.delenv("STILLROOM_REFERENCE", raising=False)
    from tools.scorecard.__main__ import main

    assert main() == 2
    assert "STILLROOM_REFERENCE" in capsys.readouterr().err
    assert "tools" in sys.modules
