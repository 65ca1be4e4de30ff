"""The door label, read back by PDFium and by a bar code reader.

Sizes: must-read lines at least 24 pt, signal word at least 40 pt at 1.5 m (ANSI Z535 and ASR A1.3 as quoted by others:
capitals of 5 to 6 mm, signal word 1:150); QR modules of 1 mm and 4 modules of quiet zone (ISO/IEC 18004 as quoted).
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import zxingcpp
from PIL import ImageDraw

from documents.reading import pages, picture, point_sizes, smallest_type, squeezed, text
from documents.sample_record import (
    approved_record,
    long_record,
    refused_record,
    sample_record,
    signed_record,
    unsure_record,
)
from stillroom.assessment.record import Record
from stillroom.documents import label_pdf
from stillroom.errors import StillroomError

URL = "https://example.org/L/7C3F"
SIZES = ["A5", "A6"]
PAPER_MM = {"A5": (148, 210), "A6": (105, 148)}  # ISO 216
HALF_POINT = 0.5
"""pt: PDFium's boxes are the outline's, a tenth of a point off the design height; half a point is generous"""


def _code(image: Any) -> Any:
    codes = zxingcpp.read_barcodes(image)
    assert len(codes) == 1
    return codes[0]


def _corners(code: Any) -> np.ndarray:
    spot = code.position
    return np.array(
        [[p.x, p.y] for p in (spot.top_left, spot.top_right, spot.bottom_right, spot.bottom_left)], float
    )


@pytest.mark.parametrize("size", SIZES)
def test_one_page_of_the_paper_asked_for(size: str) -> None:
    data = label_pdf(signed_record(), size=size, url=URL)  # type: ignore[arg-type]
    assert len(pages(data)) == 1
    # half a pixel at 150 dpi is 0.085 mm
    assert np.array(picture(data).size) / 150 * 25.4 == pytest.approx(PAPER_MM[size], abs=0.2)


@pytest.mark.parametrize("size", SIZES)
def test_what_must_be_read_from_afar_is_large(size: str) -> None:
    data = label_pdf(sample_record(), size=size, url=URL)  # type: ignore[arg-type]
    assert min(point_sizes(data, "LISTED ONLY")) >= 40 - HALF_POINT
    for line in ("Filter until", "6 Jun 2027", "Next visit", "19 Feb 2027", "Ask before adding anything"):
        capitals = point_sizes(data, line)
        assert all(points >= 24 - HALF_POINT for points in capitals), line
    assert smallest_type(data) >= 9 - 1e-3


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("make", [refused_record, unsure_record])
def test_a_refusal_never_looks_like_a_permission(size: str, make: Any) -> None:
    data = label_pdf(make(), size=size, url=URL)
    assert min(point_sizes(data, "DO NOT USE")) >= 40 - HALF_POINT
    assert min(point_sizes(data, "Put nothing in")) >= 24 - HALF_POINT
    written = text(data)
    assert "for storage: not " in written
    for permission in (
        "LISTED ONLY",
        "What may be inside",
        "Filter until",
        "Valid until",
        "214 days",
        "2 × 2.5 L",
    ):
        assert permission not in written
    # the frame and the bar around the signal word: far more ink on a refusal than on an approval
    ink = [
        np.mean(np.array(picture(label_pdf(r, size=size)).convert("L")) < 128)
        for r in (make(), signed_record())
    ]
    assert ink[0] > 1.15 * ink[1]


@pytest.mark.parametrize("size", SIZES)
def test_the_label_says_what_an_approval_must_say(size: str) -> None:
    written = text(label_pdf(signed_record(), size=size, url=URL))  # type: ignore[arg-type]
    for part in (
        "What may be inside, at most", "Toluene 2 × 2.5 L", "Lead chromate 100 g", "214 days, to 6 June 2027",
        "Saturation is noticed by: Metal-oxide sensor", "Valid until: 6 June 2027", "V-2026-1104-7C3F",
        "Ask before adding anything", "Read at arm’s length", "HTTPS://EXAMPLE.ORG/L/7C3F", "Not a fire-rated cabinet",
        "Decision aid", "Invented example",
    ):  # fmt: skip
        assert part in written
    assert "not signed" not in written


def test_conditions_and_a_missing_signature_are_on_it() -> None:
    written = text(label_pdf(sample_record(), size="A5"))
    assert "Record not signed at printing" in written
    for condition in sample_record()["conditions"]:
        assert condition in written
    assert "Conditions" not in text(label_pdf(approved_record(), size="A5"))


@pytest.mark.parametrize("size", SIZES)
def test_what_does_not_fit_is_counted_and_stands_on_a_second_sheet(size: str) -> None:
    record = long_record(substances=60)
    written, second = pages(label_pdf(record, size=size, url=URL))[:2]  # type: ignore[arg-type]
    shown = sum(f" sort {number} " in written for number in range(1, 61))
    assert 4 <= shown < 60
    assert f"and {60 - shown} more: on sheet 2" in written
    full = " ".join(pages(label_pdf(record, size=size, url=URL))[1:])  # type: ignore[arg-type]
    assert all(f" sort {number} " in full for number in range(1, 61))
    assert all(condition in full for condition in record["conditions"])
    assert "Not valid without sheet 1." in second


def test_without_a_detector_or_a_life_the_label_says_so() -> None:
    record = sample_record()
    record["cabinet"]["detector"] = ""
    record["label_life_days"], record["life_ends"] = None, ""
    written = text(label_pdf(record, size="A6"))
    assert "visits only: this cabinet has no detector" in written
    assert "Filter until not given" in written
    assert "not given: ask" in written


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("make", [sample_record, refused_record, long_record])
def test_the_code_is_read_back_at_150_dpi_and_is_large_enough(size: str, make: Any) -> None:
    code = _code(picture(label_pdf(make(), size=size, url=URL)))
    assert code.text == "HTTPS://EXAMPLE.ORG/L/7C3F"
    assert code.ec_level in ("Q", "H")
    modules = (
        29  # version 3: 26 characters of the alphanumeric set at level H (ISO/IEC 18004, table of capacities)
    )
    corners = _corners(code)
    sides = np.linalg.norm(corners - np.roll(corners, -1, axis=0), axis=1) / 150 * 25.4
    # corners are found to about a pixel (0.17 mm) at each end
    assert np.all(sides + 0.34 >= modules * 1.0)
    quiet = 4 * sides.mean() / modules / 25.4 * 150 - 2
    left, top = corners.min(axis=0) - quiet
    right, bottom = corners.max(axis=0) + quiet
    grey = np.array(picture(label_pdf(make(), size=size, url=URL)).convert("L"))
    ring = grey[int(top) : int(bottom), int(left) : int(right)].copy()
    inner = int(quiet) - 1
    ring[inner:-inner, inner:-inner] = 255
    assert ring.min() > 128


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("spot", [(0.30, 0.55), (0.55, 0.30), (0.34, 0.34)])
def test_the_code_is_read_with_15_per_cent_of_its_area_painted_out(
    size: str, spot: tuple[float, float]
) -> None:
    image = picture(label_pdf(sample_record(), size=size, url=URL))  # type: ignore[arg-type]
    corners = _corners(_code(image))
    low, span = corners.min(axis=0), np.ptp(corners, axis=0)
    start = low + span * np.array(spot)
    end = start + span * 0.15**0.5
    ImageDraw.Draw(image).rectangle([*start, *end], fill="white")
    assert _code(image).text == "HTTPS://EXAMPLE.ORG/L/7C3F"


@pytest.mark.parametrize("size", SIZES)
def test_a_longer_address_keeps_its_modules(size: str) -> None:
    image = picture(label_pdf(sample_record(), size=size, url="https://stillroom.example.org/label/7c3fb1d0"))  # type: ignore[arg-type]
    code = _code(image)
    assert code.text == "HTTPS://STILLROOM.EXAMPLE.ORG/label/7c3fb1d0"
    assert code.ec_level in ("Q", "H")


def test_without_an_address_the_code_carries_the_number() -> None:
    assert _code(picture(label_pdf(sample_record(), size="A6"))).text == "V-2026-1104-7C3F"


@pytest.mark.parametrize("size", SIZES)
def test_an_address_too_long_is_refused_not_shrunk(size: str) -> None:
    with pytest.raises(StillroomError, match="shorter"):
        label_pdf(sample_record(), size=size, url="https://example.org/" + "a" * 200)  # type: ignore[arg-type]


@pytest.mark.parametrize("make", [sample_record, refused_record])
def test_black_and_white_only_and_no_sign_of_a_supply_label(make: Any) -> None:
    data = label_pdf(make(), size="A5", url=URL)
    pixels = np.array(picture(data)).astype(int)
    # no colour at all, so no red frame of a GHS pictogram (Regulation (EC) 1272/2008, annex V)
    assert np.ptp(pixels, axis=2).max() == 0
    written = text(data)
    assert "Not a supply label" in written
    # the two signal words of that regulation's article 20 would be a false claim on a door
    assert "danger" not in written.casefold()
    assert "warning" not in written.casefold()
    # made black or white at half: the code and the lines survive
    hard = picture(data).convert("L").point(lambda value: 255 * (value > 127))
    assert _code(hard).text == "HTTPS://EXAMPLE.ORG/L/7C3F"


@pytest.mark.parametrize(("size", "least"), [("A5", 8.0), ("A6", 6.5)])
def test_thirty_substances_unsigned_and_invented_fit_one_sheet(
    size: str, least: float, museum_record: Record
) -> None:
    """The demo with both banners: nothing that is read from afar shrinks, and the code keeps its modules."""
    url = f"https://stillroom.invalid/L/{museum_record['number']}"
    data = label_pdf(museum_record, size=size, url=url)  # type: ignore[arg-type]
    assert len(pages(data)) == 1
    written = squeezed(text(data))
    for said in (
        "Invented example",
        "Record not signed at printing",
        "Not a fire-rated cabinet",
        "Read at arm’s length",
    ):
        assert squeezed(said) in written
    allowed = [item for item in museum_record["substances"] if item["verdict"].startswith("approved")]
    assert len(allowed) >= 29
    for item in allowed:
        # a long name may stand in two lines with its amount beside the first
        assert squeezed(item["containers"]) in written
        assert all(squeezed(part) in written for part in item["name"].split())
    assert "sheet2" not in written
    assert min(point_sizes(data, "LISTED ONLY")) >= 40 - HALF_POINT
    for line in ("Filter until", "Next visit", "Ask before adding anything"):
        assert min(point_sizes(data, line)) >= 24 - HALF_POINT
    assert smallest_type(data) >= least - 1e-3
    code = _code(picture(data))
    assert code.text == f"HTTPS://STILLROOM.INVALID/L/{museum_record['number']}"
    corners = _corners(code)
    sides = np.linalg.norm(corners - np.roll(corners, -1, axis=0), axis=1) / 150 * 25.4
    # version 4 (33 modules) holds these 41 characters at level H; corners are found to about a pixel at each end
    assert np.all(sides + 0.34 >= 33 * 1.0)


def test_conditions_are_on_the_dense_label(museum_record: Record) -> None:
    written = squeezed(text(label_pdf(museum_record, size="A6")))
    for condition in museum_record["conditions"]:
        assert squeezed(condition.partition(": ")[2] or condition) in written
