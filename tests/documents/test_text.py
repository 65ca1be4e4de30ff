"""Text of users: shown, never read as source; what the typeface lacks is replaced visibly."""

from __future__ import annotations

import re
import unicodedata
import xml.etree.ElementTree as ET
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from documents.reading import text
from documents.sample_record import refused_record, sample_record
from stillroom.documents import charts, label_pdf, record_pdf, shelves_pdf
from stillroom.documents.text import REPLACEMENT, breakable, clean

HOSTILE = [
    '#import "/etc/passwd": *',
    '#sys.inputs #eval("1+1") $x^2$ *bold* _it_ @ref <label> `raw` = head',
    "{{7*7}} {% include 'x' %} ${7*7}",
    "<script>alert(1)</script>&amp;\"'",
    "שלום مرحبا",
    "\u202egnp.exe\u202c toluene",
    "甲基苯 トルエン 톨루엔",
    "🧪 bottle",
    "x" * 300,
    "a very long name " * 18,
    "line\nbreak\ttab\x00nul\x1b",
    "\\ \\u{41} // comment /* */",
    "",
]


def _poisoned(value: Any, poison: str) -> Any:
    """Every free text of a record replaced."""
    free = {"name", "title", "note", "reasons", "consequence", "mend", "words", "conditions", "detector", "label",
            "container", "compartment", "shelf", "warnings", "file", "governing_name", "names", "check_point"}  # fmt: skip
    record = sample_record() if value is None else value

    def walk(node: Any, name: str = "") -> Any:
        if isinstance(node, dict):
            return {key: walk(item, key) for key, item in node.items()}
        if isinstance(node, list):
            return [walk(item, name) for item in node]
        return poison if isinstance(node, str) and name in free else node

    poisoned = walk(record)
    for clock, old in zip(poisoned["clocks"], record["clocks"], strict=True):
        clock["name"] = old["name"]
    return poisoned


@pytest.mark.parametrize("poison", HOSTILE)
@pytest.mark.parametrize("make", [sample_record, refused_record])
def test_hostile_text_neither_runs_nor_crashes(poison: str, make: Any) -> None:
    record = _poisoned(make(), poison)
    papers = [
        record_pdf(record),
        label_pdf(record, size="A5"),
        label_pdf(record, size="A6"),
        shelves_pdf(record),
    ]
    for paper in papers:
        written = re.sub(r"\s+", "", text(paper))
        shown = re.sub(r"\s+", "", clean(poison))[:30]
        assert shown in written
        assert "49" not in written or "7*7" in written or "{{" not in poison
    for svg in (
        charts.exhaust_svg(record),
        charts.clocks_svg(record),
        charts.shelves_svg(record),
        charts.front_svg(record),
    ):
        ET.fromstring(svg)
        assert "<script" not in svg


def test_missing_glyphs_are_seen_and_explained() -> None:
    record = sample_record()
    record["containers"][0]["name"] = "甲基苯 toluene"
    written = text(record_pdf(record))
    assert 3 * REPLACEMENT + " toluene" in written
    assert "stands for a character that this paper’s typeface lacks" in written
    assert "typeface lacks" not in text(record_pdf(sample_record()))


def test_what_the_trade_writes_is_in_the_typeface() -> None:
    needed = "≥ ≤ µ μ ² ³ ° – × · ± → ½ αβγδλωΩ ⁰¹⁴⁻⁶ ₀₁₂₉ äöüßéèçñåøłžŠ ЖжЯя € √ ∞ □ ▲ ○"
    assert clean(needed) == unicodedata.normalize("NFC", needed)


def test_direction_marks_and_controls_go() -> None:
    assert clean("a\u202eb\u200fc\x00d\u00ade") == "abcde"


@given(st.text(max_size=60))
def test_cleaning_twice_is_cleaning_once(raw: str) -> None:
    assert clean(clean(raw)) == clean(raw)
    assert breakable(clean(raw)).replace("\u200b", "") == clean(raw).replace("\u200b", "")


@settings(max_examples=30, deadline=None)
@given(st.text(max_size=80))
def test_any_text_at_all_can_be_printed(raw: str) -> None:
    record = sample_record()
    record["title"] = record["containers"][0]["name"] = record["substances"][0]["name"] = raw
    assert label_pdf(record, size="A6").startswith(b"%PDF-")


def test_templates_reach_for_nothing_outside() -> None:
    folder = resources.files("stillroom.documents") / "templates"
    for file in folder.iterdir():
        source = file.read_text("utf-8")
        assert "@preview" not in source
        assert "eval(" not in source
        assert not re.search(r"\b(read|plugin|csv|yaml|toml|xml|cbor|bibliography)\(", source)
        assert set(re.findall(r'#?import "([^"]+)"', source)) <= {"common.typ"}


def test_the_typeface_comes_with_its_licence_and_is_small() -> None:
    folder = Path(str(resources.files("stillroom.documents") / "fonts"))
    assert "SIL OPEN FONT LICENSE Version 1.1" in (folder / "OFL.txt").read_text("utf-8")
    assert sum(file.stat().st_size for file in folder.iterdir()) < 1.2e6
