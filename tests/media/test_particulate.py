"""Classes of particulate filters."""

from __future__ import annotations

import csv
import os
from pathlib import Path

import pytest

from stillroom.errors import InputError
from stillroom.media import ParticulateFilter, particulate, penetration

REFERENCE = os.environ.get("STILLROOM_REFERENCE", "")


@pytest.mark.parametrize(
    ("written", "largest"),
    [
        # EN 1822-1, Table 1: largest overall penetration
        ("E10", 0.15),
        ("h13", 5e-4),
        ("H 14", 5e-5),
        ("U17", 5e-8),
        # ISO 29463-1, Table 1: 99.95, 99.995 %
        ("ISO 35 H", 5e-4),
        ("45H", 5e-5),
        ("ISO 15 E", 0.05),
    ],
)
def test_largest_penetration(written, largest):
    """Digits of the tables are exact; 1e-3 covers 100 − 99.999995 in floats."""
    interval = penetration(ParticulateFilter(written))
    assert interval.p95 == pytest.approx(largest, rel=1e-3)
    assert 0 < interval.p05 < interval.p50 < interval.p95


def test_unknown_class_names_the_known_ones():
    with pytest.raises(InputError, match="H13"):
        penetration(ParticulateFilter("HEPA-ish"))


@pytest.mark.skipif(not REFERENCE, reason="STILLROOM_REFERENCE does not point to the data")
def test_all_classes_of_en_1822():
    with (Path(REFERENCE) / "en1822_classes.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 8
    for row in rows:
        assert particulate.classes()[row["class"]] == float(row["overall_eff_MPPS_pct_min"])
        let_through = penetration(ParticulateFilter(row["class"])).p95
        assert let_through == pytest.approx(float(row["overall_pen_pct_max"]) / 100.0, rel=1e-3)
