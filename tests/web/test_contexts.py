"""Each page's context dataclass holds just what its template shows."""

from __future__ import annotations

import importlib
from dataclasses import fields
from pathlib import Path

import pytest

import stillroom.web

FOLDER = Path(stillroom.web.__file__).parent
PAGES = sorted(file.parent.name for file in FOLDER.glob("*/context.py"))


def test_every_folder_with_a_page_has_a_context():
    assert sorted(file.parent.name for file in FOLDER.glob("*/page.html")) == PAGES


@pytest.mark.parametrize("name", PAGES)
def test_every_field_is_shown(name):
    module = importlib.import_module(f"stillroom.web.{name}.context")
    (context,) = (
        value
        for key, value in vars(module).items()
        if key.endswith("Context") and value.__module__ == module.__name__
    )
    text = (FOLDER / name / "page.html").read_text("utf-8")
    text += "".join(file.read_text("utf-8") for file in (FOLDER / "base").glob("*.html"))
    missing = [field.name for field in fields(context) if field.name not in text]
    assert missing == []
