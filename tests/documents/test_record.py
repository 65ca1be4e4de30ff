"""The validation record, read back by PDFium."""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
from typing import Any

import pypdfium2
import pytest

from documents.reading import pages, picture, point_sizes, runs, squeezed, text
from documents.sample_record import (
    approved_record,
    long_record,
    refused_record,
    sample_record,
    signed_record,
    unsure_record,
)
from stillroom.assessment.record import Record
from stillroom.documents import label_pdf, record_pdf, shelves_pdf
from stillroom.documents.charts.exhaust import INKS

PAPERS = {
    "record": record_pdf,
    "label A5": lambda record: label_pdf(record, size="A5"),
    "label A6": lambda record: label_pdf(record, size="A6"),
    "shelves": shelves_pdf,
}


@pytest.mark.parametrize(
    ("make", "verdict"),
    [
        (sample_record, "Approved with conditions"),
        (approved_record, "Approved"),
        (refused_record, "Not approved"),
        (unsure_record, "Cannot tell: not approved"),
    ],
)
def test_the_decision_stands_first_and_large(make: Any, verdict: str) -> None:
    data = record_pdf(make())
    first = pages(data)[0]
    # 27 pt set; half a point for the outline's overshoot
    assert max(point_sizes(data, verdict)) >= 26.5
    assert first.index(verdict) < first.index("Filter life") < first.index("Exhaust against time")
    assert "Inventory" not in first
    for sentence in make()["verdict_words"]:
        assert sentence in first


def test_two_to_four_pages_with_everything_asked_for() -> None:
    data = record_pdf(sample_record())
    assert 2 <= len(pages(data)) <= 4
    written = text(data)
    record = sample_record()
    parts = [
        record["number"], record["title"], "214 days", "ends 6 June 2027", record["governing_words"], "19 February 2027",
        *record["conditions"], *record["assumptions"], *record["sources"], *record["cautions"], *record["warnings"],
        *(item["name"] for item in record["containers"]), *(item["cas"] for item in record["containers"]),
        *(clock["words"] for clock in record["clocks"]), *(item["consequence"] for item in record["conflicts"]),
        "Invented list A, workplace exposure limits, 2024", "1 % of the limit", "below the line is safe", record["input_sha256"],
        "stillroom 0.1.0", "Seed and runs: 1; 1000", "Page 1 of", "not fire-rated",
    ]  # fmt: skip
    for part in parts:
        assert part in written, part


SECTIONS = (
    "Conditions", "Cautions", "Exhaust against time", "The four clocks",
    "Inventory, limits and results", "Exposure limit", "Normal storage", "Design spill", "What to check on a visit",
    "Largest container allowed", "Where the limits stand", "Conflicts", "Assumptions", "Rules of the site", "Sources",
    "Signature", "What made this record",
)  # fmt: skip


def test_thirty_substances_take_four_pages_and_lose_no_part(museum_record: Record) -> None:
    """The demo: 30 substances, 61 containers, 52 conflicts, 28 sources."""
    data = record_pdf(museum_record)
    assert 2 <= len(pages(data)) <= 4
    written = text(data)
    for part in (museum_record["verdict"].capitalize(), *SECTIONS, *museum_record["verdict_words"], *museum_record["assumptions"], *museum_record["cautions"], *museum_record["sources"],
                 museum_record["input_sha256"]):  # fmt: skip
        assert squeezed(part) in squeezed(written), part
    for substance in museum_record["substances"]:
        limit = substance["limit"]
        assert substance["cas"] in written
        assert limit is not None and squeezed(limit["list_title"]) in squeezed(written)
    for conflict in museum_record["conflicts"]:
        assert squeezed(conflict["consequence"]) in squeezed(written)
        assert all(name in written for name in conflict["names"])
    assert sum(item["count"] for item in museum_record["containers"]) > 50
    for item in museum_record["containers"]:
        assert re.search(rf"\b{item['row']} {re.escape(item['name'])}", written), item["name"]


def test_the_demo_takes_four_pages_and_its_first_request_five(
    demo_record: Record, asked_record: Record
) -> None:
    assert len(pages(record_pdf(demo_record))) <= 4
    data = record_pdf(asked_record)
    assert len(pages(data)) <= 5
    first = pages(data)[0]
    for name in ("hydrochloric acid", "ammonia", "diethyl ether", "Unlabelled brown jar"):
        assert f"{name}, " in first
    assert "one of the two may not stay" in text(data)


@pytest.mark.parametrize(
    "make", [sample_record, refused_record, long_record, "museum_record", "demo_record", "asked_record"]
)
def test_type_is_large_enough_and_no_heading_is_left_alone(make: Any, request: pytest.FixtureRequest) -> None:
    """Tables and fine print at least 7 pt, prose 8.5 pt; below each heading stands something of its own column."""
    record = request.getfixturevalue(make) if isinstance(make, str) else make()
    data = record_pdf(record)
    foot = 34.0  # pt: what stands lower is the footer
    told = " ".join(
        [*record["verdict_words"], *record["conditions"], *record["assumptions"], *record["cautions"]]
    )
    tabled = " ".join(clock["words"] for clock in record["clocks"])
    for number in range(len(pages(data))):
        leaf = [run for run in runs(data, number) if run.y > foot]
        assert min(run.size for run in leaf) >= 7 - 1e-3
        prose = [
            run
            for run in leaf
            if len(run.text) > 30 and run.text.strip() in told and run.text.strip() not in tabled
        ]
        assert all(run.size >= 8.5 for run in prose)
        for heading in (run for run in leaf if abs(run.size - 10.5) < 0.01):
            below = [
                r for r in leaf if r.size < 10.4 and 0 < heading.y - r.y < 30 and -2 < r.x - heading.x < 90
            ]
            assert below, f"{heading.text!r} stands alone on page {number + 1}"


def test_a_substance_in_two_rows_is_computed_once_and_listed_twice() -> None:
    written = text(record_pdf(sample_record()))
    rows = [item["row"] for item in sample_record()["containers"] if item["cas"] == "108-88-3"]
    assert len(rows) > 1
    assert written.count(f"limit and results: as row {rows[0]}") == len(rows) - 1


def test_intervals_are_printed_with_both_ends() -> None:
    written = text(record_pdf(sample_record()))
    # acetic acid: 2.2e-4, 8e-4, 2.9e-3 of the limit, in per cent with two digits
    assert "0.080 0.022 – 0.29" in written
    # its life: 214.7, 302, 365 days; a life is rounded down
    assert "302 214 – 365" in written


def test_unknown_is_a_word_and_never_a_zero() -> None:
    written = text(record_pdf(refused_record()))
    assert re.search(r"no limit known: never approved( no value){5} no design spill", written)
    assert "no limit known: never approved" in written
    assert "brown bottle, no label contents unknown" in written


def test_a_refusal_gives_no_life_no_visit_no_validity() -> None:
    first = pages(record_pdf(refused_record()))[0]
    assert first.count("not given") == 3
    for part in ("214 days", "19 February 2027", "6 June 2027"):
        assert part not in first
    assert "Conditions that would hold if it were approved" in first
    assert first.index("Hydrogen, not approved") < first.index("Acetic acid, approved with conditions")
    assert "NOT SOLVED by the shelf plan" in first


def test_unsigned_has_blank_lines_and_signed_has_the_name() -> None:
    unsigned, signed = text(record_pdf(sample_record())), text(record_pdf(signed_record()))
    assert unsigned.count("Not signed. This record approves nothing") == 2
    assert "Not signed" not in signed
    assert "Invented Person" in signed
    assert "I have checked this record and approve the storage that it describes." in signed
    assert re.search(
        "4 ?November 2026, 15:20:00 UTC", signed
    )  # PDFium may drop a no-break space between glyphs


@pytest.mark.parametrize("name", PAPERS)
@pytest.mark.parametrize("make", [sample_record, refused_record])
def test_every_paper_is_marked_invented_and_cautions(name: str, make: Any) -> None:
    written = text(PAPERS[name](make()))
    assert "Invented example" in written
    assert "ecision aid" in written
    assert "ocal codes" in written
    assert "ire-rated" in written
    real = make()
    real["invented"] = False
    assert "Invented example" not in text(PAPERS[name](real))


@pytest.mark.parametrize("name", PAPERS)
def test_archival_and_accessible(name: str) -> None:
    data = PAPERS[name](sample_record())
    # ISO 19005-2 (part 2, conformance A) and ISO 14289-1 (part 1) declare themselves in the XMP packet
    for pattern in (rb"pdfaid:part(>|=\")2", rb"pdfaid:conformance(>|=\")A", rb"pdfuaid:part(>|=\")1"):
        assert re.search(pattern, data)
    assert b"/Marked true" in data
    assert b"/StructTreeRoot" in data
    assert re.search(rb"/Lang ?\(en", data)
    metadata = pypdfium2.PdfDocument(data).get_metadata_dict()
    assert sample_record()["number"] in metadata["Title"]
    assert metadata["CreationDate"].startswith("D:20261104")


@pytest.mark.parametrize("name", PAPERS)
def test_every_font_is_ours_and_inside(name: str) -> None:
    data = PAPERS[name](sample_record())
    fonts = set(re.findall(rb"/BaseFont ?/([A-Z]{6}\+)?([\w#-]+)", data))
    assert fonts
    assert all(family.startswith(b"SourceSans3") for _, family in fonts)
    assert b"/FontFile" in data


def test_equal_records_give_equal_bytes_in_another_process() -> None:
    program = (
        "import sys, json, hashlib; from stillroom import documents as d; r = json.load(sys.stdin);"
        "print(*[hashlib.sha256(x).hexdigest() for x in"
        " (d.record_pdf(r), d.label_pdf(r, size='A5'), d.label_pdf(r, size='A6'), d.shelves_pdf(r))])"
    )
    here = [hashlib.sha256(make(sample_record())).hexdigest() for make in PAPERS.values()]
    there = subprocess.run(
        [sys.executable, "-c", program],
        input=json.dumps(sample_record()), capture_output=True, text=True, check=True,
        env={**os.environ, "PYTHONHASHSEED": "7", "TZ": "Pacific/Auckland"},
    ).stdout.split()  # fmt: skip
    assert there == here


def test_long_tables_repeat_their_heads() -> None:
    leaves = pages(record_pdf(long_record(containers=150, substances=60)))
    rows = [leaf for leaf in leaves if re.search(r"lot \d+ ", leaf)]
    assert len(rows) >= 3
    assert all("Row Name as written; assessed as, CAS No." in leaf for leaf in rows)
    assert all(f"lot {number} " in " ".join(leaves) for number in range(1, 151))
    assert all("Fan on, % of LFL" in leaf for leaf in rows)


def test_an_empty_record_is_still_a_paper() -> None:
    record = sample_record()
    for key in (
        "substances",
        "conflicts",
        "containers",
        "conditions",
        "assumptions",
        "curves",
        "clocks",
        "sources",
        "warnings",
    ):
        record[key] = []  # type: ignore[literal-required]
    record["placement"] = {"shelves": [], "not_placed": [], "words": []}
    record["rules"], record["limit_lists"], record["reading"] = {}, [], {}
    written = text(record_pdf(record))
    assert "No pair of this inventory is known to conflict." in written
    assert "No curve was computed." in written
    assert shelves_pdf(record).startswith(b"%PDF-")
    assert label_pdf(record, size="A6").startswith(b"%PDF-")


def test_in_grey_the_page_loses_nothing() -> None:
    """Every ink of the plot, turned to grey by a picture library, keeps 3:1 against white (WCAG 2.2, 1.4.11)."""
    coloured = picture(record_pdf(sample_record()), dpi=200)
    grey = coloured.convert("L")
    seen = dict(zip(coloured.get_flattened_data(), grey.get_flattened_data(), strict=True))
    for ink, _, _ in INKS:
        rgb = tuple(int(ink[at : at + 2], 16) for at in (1, 3, 5))
        assert rgb in seen, f"{ink} is not on the page"
        luminance = ((seen[rgb] / 255 + 0.055) / 1.055) ** 2.4
        assert 1.05 / (luminance + 0.05) >= 3.0
