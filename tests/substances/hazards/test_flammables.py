"""Categories of 29 CFR 1910.106(a)(19), the cabinet's quantity by (d)(3)(i), corrosion, peroxides."""

from __future__ import annotations

import csv
import os
import re
from pathlib import Path

import pytest

from stillroom.substances.hazards import (
    flammable_category,
    flammable_limits,
    flammables_check,
    hazards,
    peroxide_note,
)
from stillroom.substances.hazards.flammables import category
from stillroom.substances.hazards.tables import rows

REFERENCE = os.environ.get("STILLROOM_REFERENCE", "")
needs_reference = pytest.mark.skipif(not REFERENCE, reason="STILLROOM_REFERENCE is not set")


@pytest.mark.parametrize(
    ("flash", "boiling", "expected"),
    [  # 29 CFR 1910.106(a)(19)(i)-(iv), the printed bounds in °C
        (22.9, 35.0, "1"),
        (22.9, 35.1, "2"),
        (23.0, 30.0, "3"),
        (60.0, 200.0, "3"),
        (60.1, 200.0, "4"),
        (93.0, 200.0, "4"),
        (93.1, 200.0, ""),
        (-20.0, None, "2"),
    ],
)
def test_bounds_of_the_categories(flash: float, boiling: float | None, expected: str) -> None:
    kelvin = None if boiling is None else boiling + 273.15
    assert category(flash_point=round(flash + 273.15, 2), boiling_point=kelvin) == expected


@pytest.mark.parametrize(
    ("cas", "expected"),
    [  # NIOSH Pocket Guide prints the class of each (IA to IIIA), which the categories replaced in 2012
        ("60-29-7", "1"),  # class IA
        ("75-07-0", "1"),  # class IA
        ("67-64-1", "2"),  # class IB
        ("108-88-3", "2"),  # class IB
        ("100-42-5", "3"),  # class IC
        ("64-19-7", "3"),  # class II
        ("62-53-3", "4"),  # class IIIA
        ("67-66-3", ""),  # noncombustible
        ("56-23-5", ""),  # noncombustible
        ("7647-14-5", ""),
        ("91-20-3", ""),  # naphthalene flashes at 79 °C and is a solid
        ("7439-97-6", ""),
    ],
)
def test_categories_of_usual_liquids(cas: str, expected: str) -> None:
    assert flammable_category(cas) == expected


def test_a_dilute_solution_in_water_is_no_flammable_liquid() -> None:
    assert flammable_category("64-17-5", mass_fraction=0.70) == "2"
    assert flammable_category("64-17-5", mass_fraction=0.05) == ""
    assert flammable_category("64-17-5", mass_fraction=None) == "2"


def test_the_quantity_of_one_cabinet() -> None:
    """29 CFR 1910.106(d)(3)(i): 60 and 120 US gallons; OSHA's letter of 31 Aug 1995: 227.1 L, 454.2 L."""
    first, second = flammable_limits()
    assert first.litres == pytest.approx(227.1, abs=0.05)  # as printed to 0.1 L
    assert second.litres == pytest.approx(454.2, abs=0.05)
    assert flammables_check([("67-64-1", 227.0, 1.0), ("62-53-3", 454.0, 1.0)])[0]
    ok, words = flammables_check([("67-64-1", 200.0, 1.0), ("100-42-5", 28.0, 1.0)])
    assert not ok
    assert "beyond" in words
    assert flammables_check([("67-66-3", 1000.0, 1.0)])[0]


@pytest.mark.parametrize(
    ("cas", "fraction", "corrosive"),
    [  # Regulation (EC) 1272/2008 Annex VI, specific limits for Skin Corr. 1
        ("64-19-7", 0.99, True),
        ("64-19-7", 0.05, False),
        ("1310-73-2", 0.04, True),
        ("1310-73-2", 0.004, False),
        ("7664-93-9", 0.98, True),
        ("7647-01-0", None, True),
        ("67-64-1", 1.0, False),
    ],
)
def test_corrosive_by_strength(cas: str, fraction: float | None, corrosive: bool) -> None:
    assert hazards(cas, mass_fraction=fraction).corrosive is corrosive


def test_peroxide_formers_carry_a_note_with_dates() -> None:
    for cas in ("60-29-7", "109-99-9", "123-91-1", "108-20-3"):
        answer = hazards(cas)
        assert answer.peroxide_former
        assert any("dates of receipt and opening" in note for note in answer.notes)
    assert "3 months" in peroxide_note("108-20-3")  # Cornell Appendix J, class A
    assert not hazards("108-88-3").peroxide_former


@needs_reference
def test_flash_and_boiling_points_agree_with_the_pocket_guide() -> None:
    """NIOSH Pocket Guide in whole °F, ours in whole °C: half of each, 0.8 K; no ranges, no mixtures."""
    with Path(REFERENCE, "niosh_pocket_guide.csv").open(encoding="utf-8") as file:
        guide = {row["cas"]: row for row in csv.DictReader(file)}
    wrong, compared = [], 0
    for row in rows("flash_points"):
        printed = guide.get(row["cas"])
        if not printed or row["source"] != "niosh-npg-physical" or "prints" in row["note"]:
            continue
        if row["cas"] == "50-00-0":  # ours is of the solution
            continue
        for ours, theirs, text in (
            (row["flash_C"], printed["flash_C"], printed["flash_text"]),
            (row["boiling_C"], printed["bp_C"], printed["bp_text"]),
        ):
            if ours and theirs and re.fullmatch(r"-?\d+°F", text):
                compared += 1
                if abs(float(ours) - float(theirs)) > 0.8:
                    wrong.append((row["name"], ours, text))
    assert compared > 100
    assert wrong == []


@needs_reference
def test_peroxide_formers_agree_with_the_published_lists() -> None:
    """Each row that claims a list stands in it or a sister list, in the class that one of them gives."""
    published: dict[str, set[str]] = {}
    with Path(REFERENCE, "peroxide_formers.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            published.setdefault(row["cas"], set()).add(row["class"])
    wrong = [
        (row["cas"], row["name"], row["class"], published.get(row["cas"]))
        for row in rows("peroxide_formers")
        if row["source"] != "from-memory" and row["class"] not in published.get(row["cas"], set())
    ]
    assert wrong == []


@needs_reference
def test_limits_of_skin_corrosion_agree_with_annex_vi() -> None:
    """Regulation (EC) 1272/2008, Annex VI, ATP 17: lowest limit of Skin Corr. 1, else the generic 5 %."""
    with Path(REFERENCE, "eu_clp_annex_vi_atp17.csv").open(encoding="utf-8") as file:
        entries = {row["index_no"]: row for row in csv.DictReader(file)}
    wrong, compared = [], 0
    for row in rows("corrosive"):
        entry = entries.get(row["locator"].removeprefix("index "))
        if not entry:
            continue
        found = re.findall(
            r"Skin Corr\. 1[ABC]?; H314:[^;]*?(\d+(?:,\d+)?)\s*%?(?:\s*≤|\s*%)",
            entry["scl_m_ate"].replace("\xa0", " "),
        )
        lowest = min((float(value.replace(",", ".")) / 100 for value in found), default=0.05)
        compared += 1
        if abs(lowest - float(row["from_mass_fraction"])) > 1e-9:
            wrong.append((row["name"], row["from_mass_fraction"], lowest))
    assert compared > 30
    assert wrong == []
