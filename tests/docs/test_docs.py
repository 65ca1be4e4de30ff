"""What the pages promise is there: files, commands, make targets, shipped names."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGES = sorted([ROOT / "README.md", ROOT / "CONTRIBUTING.md", *(ROOT / "docs").rglob("*.md")])


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_links_lead_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#\s]+)\)", page.read_text("utf-8")):
        if "://" not in target:
            assert (page.parent / target).exists(), target


def test_files_that_the_readme_names_exist() -> None:
    text = (ROOT / "README.md").read_text("utf-8")
    named = set(re.findall(r"`((?:docs|examples|src)/[\w./-]+|[A-Z]+\.md)`", text))
    assert len(named) >= 5
    for name in named:
        assert (ROOT / name).exists(), name


def test_commands_and_targets_that_the_readme_names_exist() -> None:
    from stillroom.cli.main import _COMMANDS

    text = (ROOT / "README.md").read_text("utf-8")
    commands = set(re.findall(r"^\$ stillroom (\w+)", text, re.MULTILINE))
    assert len(commands) >= 4
    assert commands <= set(_COMMANDS)
    targets = set(re.findall(r"(?:\$ |`)make (\w+)", text))
    assert len(targets) >= 3
    makefile = (ROOT / "Makefile").read_text("utf-8")
    for target in targets:
        assert re.search(rf"^{target}:", makefile, re.MULTILINE), target


def test_the_job_stands_at_the_top_of_the_readme() -> None:
    paragraphs = (ROOT / "README.md").read_text("utf-8").split("\n\n")
    assert paragraphs[0].startswith("# Stillroom")
    assert "does that person's job" in paragraphs[1]
    assert "make demo" in paragraphs[2]


def test_shipped_cabinets_are_those_of_the_reference_page() -> None:
    from stillroom.cabinet.load import shipped

    page = (ROOT / "docs" / "reference" / "cabinet.md").read_text("utf-8")
    for name in shipped():
        assert f"`{name}`" in page
