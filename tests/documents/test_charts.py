"""Charts: well-formed, within a strict content policy, readable without colour, and true to the record."""

from __future__ import annotations

import itertools
import re
import xml.etree.ElementTree as ET
from typing import Any

import pytest

from documents.sample_record import long_record, refused_record, sample_record
from stillroom.documents import charts
from stillroom.documents.charts.exhaust import INKS
from stillroom.documents.charts.svg import described, figure, spread

SVG = "{http://www.w3.org/2000/svg}"
DRAWN = {
    "exhaust": charts.exhaust_svg,
    "clocks": charts.clocks_svg,
    "shelves": charts.shelves_svg,
    "front": charts.front_svg,
    "shelf": lambda record, **more: charts.shelf_svg(record, 1, **more),
    "legend": lambda record, **more: charts.legend_svg("acid", **more),
}


def _luminance(colour: str) -> float:
    """Relative luminance of WCAG 2.2."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("name", DRAWN)
@pytest.mark.parametrize("make", [sample_record, refused_record, long_record])
def test_strict_policy_and_accessible_name(name: str, make: Any) -> None:
    svg = DRAWN[name](make(), key="k9")
    root = ET.fromstring(svg)
    assert root.get("role") == "img"
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None and title.text
    assert desc is not None and desc.text
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    for element in root.iter():
        assert "style" not in element.attrib
        assert not any(name.startswith("on") or name.endswith("href") for name in element.attrib)
        assert element.tag not in (f"{SVG}style", f"{SVG}script", f"{SVG}foreignObject")
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    assert all(str(item).startswith("k9") for item in ids)
    assert not re.search(r"nan|inf\b|\de[-+]\d", re.sub(r">[^<]*<", "><", svg))


def test_inks_keep_three_to_one_and_differ_without_colour() -> None:
    for colour, _, _ in INKS:
        assert 1.05 / (_luminance(colour) + 0.05) >= 3.0  # WCAG 2.2, 1.4.11
    assert len({dash for _, dash, _ in INKS}) == len(INKS)
    assert len({mark for _, _, mark in INKS}) == len(INKS)


def _texts(svg: str) -> list[str]:
    return ["".join(element.itertext()) for element in ET.fromstring(svg).iter(f"{SVG}text")]


def test_exhaust_says_log_scale_threshold_and_safe_side() -> None:
    written = _texts(charts.exhaust_svg(sample_record()))
    for part in ("Exhaust, % of limit (log scale)", "1 % of the limit", "↓ below the line is safe", "filter life 214 d",
                 "Mixture index", "Acetic acid", "Line: median. Band: 5 % to 95 % of 1000 runs."):  # fmt: skip
        assert part in written
    assert "All bands stay below it." in charts.exhaust_svg(sample_record())
    assert "0\u00a0%" not in written  # no zero on a logarithmic axis


def test_a_curve_that_passes_the_criterion_is_said() -> None:
    record = sample_record()
    record["curves"][0]["p95"] = [0.02 for _ in record["curves"][0]["p95"]]
    assert "At least one band passes it." in charts.exhaust_svg(record)


def test_heights_follow_the_logarithm() -> None:
    record = sample_record()
    days = [0.0, 100.0]
    record["curves"] = [
        {"cas": f"{n}", "name": f"S{n}", "days": days, "p05": [v, v], "p50": [v, v], "p95": [v, v]}
        for n, v in enumerate((1e-5, 1e-4, 1e-3))
    ]
    svg = charts.exhaust_svg(record)
    root = ET.fromstring(svg)
    lines = [e.get("d", "") for e in root.iter(f"{SVG}path") if e.get("stroke-width") == "2"]
    heights = sorted(float(line.split()[-1]) for line in lines)
    (threshold,) = [float(e.get("y1", "")) for e in root.iter(f"{SVG}line") if e.get("stroke-width") == "2.4"]
    # a decade is a decade: 1e-2 (criterion), 1e-3, 1e-4, 1e-5 are equally far apart; 0.02 is twice the rounding
    steps = [b - a for a, b in zip([threshold, *heights], heights, strict=False)]
    assert steps == pytest.approx([steps[0]] * 3, abs=0.02)


def test_zero_is_an_open_mark_and_not_dropped() -> None:
    record = sample_record()
    curve = record["curves"][3]
    record["curves"] = [
        record["curves"][0],
        {**curve, "p05": [0.0] * len(curve["days"]), "p50": [0.0] * len(curve["days"])},
    ]
    root = ET.fromstring(charts.exhaust_svg(record))
    marks = [e for e in root.iter(f"{SVG}path") if e.get("fill") == "#fff" and e.get("stroke") == INKS[1][0]]
    assert len(marks) >= 3


def test_more_curves_than_lines_are_counted() -> None:
    record = sample_record()
    record["curves"] += [{**record["curves"][2], "name": f"more {n}", "cas": str(n)} for n in range(5)]
    assert any("5 further substances: see the table." in part for part in _texts(charts.exhaust_svg(record)))


def test_clocks_say_when_and_when_never() -> None:
    svg = charts.clocks_svg(sample_record())
    assert "does not run out in the time computed" in _texts(svg)
    assert "302 (214 – 365) days" in _texts(svg)
    assert "Saturation: 331 (248 – none) days." in described(svg)


def test_shelves_are_to_scale_and_hold_every_container() -> None:
    record = sample_record()
    svg = charts.shelves_svg(record)
    root = ET.fromstring(svg)
    radii = sorted(float(e.get("r", "")) for e in root.iter(f"{SVG}circle"))
    diameters = sorted(
        item["diameter_m"] for shelf in record["placement"]["shelves"] for item in shelf["placed"]
    )
    assert len(radii) == 20
    # 684 units for 0.9 m; coordinates carry two digits
    assert radii == pytest.approx([d / 2 * 684 / 0.9 for d in diameters], abs=0.01)
    written = _texts(svg)
    assert all(str(number) in written for number in range(1, 21))
    assert written.count("acid") == 3  # the word stands in each circle that has room for it
    assert written.count("flammable") >= 12


def test_front_edge_is_at_the_bottom() -> None:
    record = sample_record()
    root = ET.fromstring(charts.shelf_svg(record, 1))
    circles = list(root.iter(f"{SVG}circle"))
    placed = record["placement"]["shelves"][1]["placed"]
    heights = [float(circle.get("cy", "")) for circle in circles]
    near, far = min(range(11), key=lambda i: placed[i]["y_m"]), max(range(11), key=lambda i: placed[i]["y_m"])
    assert heights[near] > heights[far]


def test_labels_do_not_lie_on_each_other() -> None:
    placed = spread([10.0, 11.0, 12.0, 80.0], gap=16, low=0, high=90)
    gaps = [b - a for a, b in itertools.pairwise(placed)]
    assert min(gaps) >= 16 - 1e-9
    assert placed == sorted(placed)
    assert max(placed) <= 90


@pytest.mark.parametrize(
    ("value", "said"), [(1.0, "1"), (-0.001, "0"), (1e-9, "0"), (12.345, "12.35"), (1e6, "1000000")]
)
def test_coordinates_have_no_exponent(value: float, said: str) -> None:
    assert figure(value) == said
