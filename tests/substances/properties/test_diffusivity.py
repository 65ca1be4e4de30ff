"""Diffusivity in air against measurements; each number names its origin."""

import csv
import os
import statistics
from pathlib import Path
from typing import Literal

import pytest

from stillroom.sources import Sourced
from stillroom.substances.properties import (
    diffusion_volume,
    diffusivity_in_air,
    fuller_diffusivity,
)

FOLDER = os.environ.get("STILLROOM_REFERENCE", "")
needs_reference = pytest.mark.skipif(
    not FOLDER, reason="STILLROOM_REFERENCE does not name the reference folder"
)

# The table's names: formula, molar mass [g/mol], aromatic rings.
VAPOURS = {
    "2-BUTANOL": ("C4H10O", 74.12, 0),
    "2-PENTANOL": ("C5H12O", 88.15, 0),
    "2-PROPANOL": ("C3H8O", 60.10, 0),
    "ANILINE": ("C6H7N", 93.13, 1),
    "BENZENE": ("C6H6", 78.11, 1),
    "BR2": ("Br2", 159.81, 0),
    "BUTANOL": ("C4H10O", 74.12, 0),
    "CHLOROBENZENE": ("C6H5Cl", 112.56, 1),
    "CL2": ("Cl2", 70.91, 0),
    "CHLOROPICRIN": ("CCl3NO2", 164.37, 0),
    "CO2": ("CO2", 44.01, 0),
    "CYANOGENCHLORIDE": ("CClN", 61.47, 0),
    "DIPHENYL": ("C12H10", 154.21, 2),
    "ETHANOL": ("C2H6O", 46.07, 0),
    "ETHYLACETATE": ("C4H8O2", 88.11, 0),
    "HCN": ("CHN", 27.03, 0),
    "HE": ("He", 4.0026, 0),
    "METHANE": ("CH4", 16.04, 0),
    "NH3": ("NH3", 17.03, 0),
    "NITROBENZENE": ("C6H5NO2", 123.11, 1),
    "PHOSGENE": ("CCl2O", 98.92, 0),
    "SO2": ("SO2", 64.06, 0),
    "TOLUENE": ("C7H8", 92.14, 1),
    "WATER": ("H2O", 18.015, 0),
    "D2": ("D2", 4.028, 0),
}


def square_centimetres(cas: str, temperature: float) -> float:
    found = diffusivity_in_air(cas, temperature=temperature)
    assert isinstance(found, Sourced)
    return found.value * 1e4


@pytest.mark.parametrize(
    ("cas", "temperature", "measured", "origin"),
    [
        # 10 %: the authors' average deviation is 4 %, single vapours to 10 %.
        ("71-43-2", 298.15, 0.0932, "Lugg 1968: benzene 0.0932 cm²/s"),
        ("108-88-3", 298.15, 0.0849, "Lugg 1968: toluene 0.0849 cm²/s"),
        ("67-64-1", 298.15, 0.1049, "Lugg 1968: acetone 0.1049 cm²/s"),
        ("64-17-5", 298.15, 0.1181, "Lugg 1968: ethanol 0.1181 cm²/s"),
        ("7732-18-5", 298.15, 0.249, "Lugg 1968 and others: water 0.249 cm²/s, from memory"),
        ("7439-97-6", 293.15, 0.1353, "Massman 1999: 0.1190 cm²/s at 0 °C times (293.15/273.15)^1.81"),
    ],
)
def test_measured_values(cas: str, temperature: float, measured: float, origin: str) -> None:
    assert square_centimetres(cas, temperature) == pytest.approx(measured, rel=0.10), origin


def test_ammonia_by_either_set_never_mixed() -> None:
    # Published comparison with measurement: the 1966 set about 3 % low, the 1969 set about 12 % low.
    # What is checked is the ratio of the two sets; 2 % for the rounding of both figures.
    old, new = (
        fuller_diffusivity(formula="NH3", molar_mass_g_mol=17.03, temperature=298.15, edition=edition)
        for edition in ("1966", "1969")
    )
    assert old is not None
    assert new is not None
    assert new / old == pytest.approx(0.88 / 0.97, rel=0.02)


def test_diffusion_volumes_as_printed() -> None:
    # 1966: benzene 6·16.5 + 6·1.98 − 20.2 = 90.68; 1969: 6·15.9 + 6·2.31 − 18.3 = 90.96 (arithmetic).
    assert diffusion_volume("C6H6", rings=1, edition="1966") == pytest.approx(90.68, abs=1e-9)
    assert diffusion_volume("C6H6", rings=1, edition="1969") == pytest.approx(90.96, abs=1e-9)
    assert diffusion_volume("Hg") is None
    assert diffusion_volume("CHF3", edition="1966") is None  # no fluorine in the set of 1966
    assert diffusion_volume("H3N") == diffusion_volume("NH3") == 20.7  # Hill order or not


def test_pressure_and_temperature_scale_as_the_equation_says() -> None:
    def at(temperature: float, pressure: float) -> float:
        found = fuller_diffusivity(
            formula="C7H8", molar_mass_g_mol=92.14, rings=1, temperature=temperature, pressure=pressure
        )
        assert found is not None
        return found

    assert at(300.0, 50e3) == pytest.approx(2 * at(300.0, 100e3), rel=1e-12)  # algebra
    assert at(600.0, 1e5) == pytest.approx(2**1.75 * at(300.0, 1e5), rel=1e-12)  # algebra


@needs_reference
@pytest.mark.parametrize("edition", ["1966", "1969"])
def test_sweep_against_fullers_own_measured_values(edition: Literal["1966", "1969"]) -> None:
    """The 50 rows in air of Fuller, Schettler & Giddings 1966, Table III."""
    errors, printed = [], []
    with (Path(FOLDER) / "air_diffusion_in_air_measured_fuller1966.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            formula, mass, rings = VAPOURS[row["vapour"]]
            found = fuller_diffusivity(
                formula=formula,
                molar_mass_g_mol=mass,
                rings=rings,
                temperature=float(row["T_K"]),
                edition=edition,
            )
            assert found is not None
            errors.append(100 * (found * 1e4 / float(row["D_measured_cm2_s"]) - 1))
            printed.append(float(row["FSG1966_printed_error_pct_(calc-obs)/obs"]))
    assert len(errors) == 50
    theirs = statistics.mean(abs(error) for error in printed)  # 5.7 % over these 50 of their 340
    assert (
        statistics.mean(abs(error) for error in errors) < theirs * 1.05
    )  # both sets claim the same accuracy
    if edition == "1966":
        # The same equation and volumes: their own printed errors come out. Half a unit of the third figure
        # printed for the measured value is up to 0.5 %; molar masses in use in 1966.
        assert max(abs(mine - their) for mine, their in zip(errors, printed, strict=True)) < 0.5
