"""The reference page's file is a file that loads."""

from __future__ import annotations

import re
from pathlib import Path

from stillroom import media

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "media.md"


def test_the_pages_example_loads():
    text = re.search(r"```toml\n(.*?)```", PAGE.read_text("utf-8"), re.DOTALL)[1]
    medium = media.parse(text, file="media.md")
    assert medium.name == "ours"
    assert medium.impregnations[0].reference_cas == "7664-41-7"


def test_the_page_names_every_shipped_medium():
    page = PAGE.read_text("utf-8")
    assert all(f"`{name}`" in page for name in media.names())
