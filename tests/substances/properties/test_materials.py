"""Materials without a vapour, and solids that may borrow the limit for nuisance dust."""

from __future__ import annotations

import csv
import os
from importlib import resources
from pathlib import Path

import pytest

from stillroom.substances import check_digit, hazards, limits, properties
from stillroom.substances.limits.compare import own_mass_concentration
from stillroom.substances.properties import is_involatile
from stillroom.units import GAS_CONSTANT


def rows(name: str) -> list[dict[str, str]]:
    text = (resources.files("stillroom.substances") / "data" / f"{name}.csv").read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


DUST = [row["cas"] for row in rows("low_toxicity_dust")]


@pytest.mark.parametrize("row", rows("involatile"), ids=lambda row: row["cas"])
def test_saturated_air_holds_next_to_nothing(row: dict[str, str]) -> None:
    """p M/(R T) at the stated bound, with 200 g/mol: below 1 % of 10 mg/m³, EH40's nuisance dust (inhalable)."""
    assert check_digit(row["cas"])
    known = properties(row["cas"])
    assert is_involatile(known.saturation_pressure)
    assert known.saturation_pressure.value == float(row["bound_Pa"])  # type: ignore[union-attr]
    assert known.phase == row["phase"]
    molar_mass = 60.06 if row["name"] == "urea" else 200.0
    assert float(row["bound_Pa"]) * molar_mass / (GAS_CONSTANT * 298.15) * 1e3 < 0.01 * 10


def test_fructose_is_no_vapour_whatever_the_package_says() -> None:
    """Oja & Suuberg 1999 measured glucose at 400 K: 1e-3 Pa or so, 194 kJ/mol; 2e-12 Pa at 25 °C."""
    assert properties("57-48-7").saturation_pressure.value <= 1e-9  # type: ignore[union-attr]


@pytest.mark.parametrize("cas", DUST)
def test_low_toxicity_dust_is_involatile_ordinary_and_has_no_lower_limit(cas: str) -> None:
    assert is_involatile(properties(cas).saturation_pressure)
    assert hazards(cas).admission == "ordinary"
    lowest = {"osha-z1": 15.0, "uk-eh40": 10.0}  # inhalable or total nuisance dust
    for key, dust in lowest.items():
        for limit in limits.of(cas, key):
            if limit.basis == "TWA" and limit.fraction in ("", "total", "inhalable"):
                assert own_mass_concentration(limit) >= 0.4 * dust, limit  # silica 6, the lowest of them


def test_what_irritates_or_gives_a_gas_borrows_nothing() -> None:
    """Sodium sulfite, potassium iodide, triammonium citrate, sodium dithionite."""
    assert not {"7757-83-7", "7681-11-0", "3458-72-8", "7775-14-6"} & set(DUST)


@pytest.mark.skipif(not os.environ.get("STILLROOM_REFERENCE"), reason="STILLROOM_REFERENCE does not name it")
def test_no_harmonised_classification_but_for_the_eyes() -> None:
    """Annex VI of Regulation (EC) 1272/2008 up to ATP 17."""
    path = Path(os.environ["STILLROOM_REFERENCE"]) / "eu_clp_annex_vi_atp17.csv"
    with path.open(encoding="utf-8", newline="") as file:
        classes = {
            cas: row["h_class"]
            for row in csv.DictReader(file)
            for cas in row["cas"].replace(";", " ").replace("[", " ").split()
        }
    health = {cas: classes[cas] for cas in DUST if cas in classes and classes[cas].strip("; ") != "H319"}
    assert health == {"77-92-9": "H335; H319"}  # citric acid, argued in the sidecar


def test_a_polymer_has_a_nominal_molar_mass_that_says_so() -> None:
    found = properties("25608-33-7").molar_mass
    assert "nominal" in found.note  # type: ignore[union-attr]
    assert properties("57-48-7").molar_mass.value == pytest.approx(180.16, abs=0.01)  # type: ignore[union-attr]
