"""The 1994 model against its own published table, and against the cartridges measured in 1976.

OSHA eTool Respiratory Advisor: The Wood Math Model Table; Comparing Predicted Calculation with Experimental Data
(G. O. Wood, AIHAJ 55:11 (1994); G. O. Nelson, A. N. Correia, AIHAJ 37:514 (1976)). Vapour properties come from the
`substances` room, a source independent of both.
"""

from __future__ import annotations

import csv
import os
from pathlib import Path

import numpy as np
import pytest

from stillroom import substances
from stillroom.bed import closed_form
from stillroom.media.equilibrium import wood_1994
from stillroom.media.kinetics import wood_stampfer

REFERENCE = os.environ.get("STILLROOM_REFERENCE", "")
needs_reference = pytest.mark.skipif(not REFERENCE, reason="STILLROOM_REFERENCE does not point to the data")

PPM = np.array([50.0, 100.0, 200.0, 500.0, 1000.0])
# minutes to 10 % at PPM, four of the table's rows
PRINTED = {
    "108-88-3": (1018.0, 562.0, 307.0, 135.0, 72.0),  # toluene
    "64-17-5": (123.0, 105.0, 85.0, 60.0, 43.0),  # ethanol
    "67-63-0": (425.0, 286.0, 186.0, 101.0, 61.0),  # isopropanol
    "71-36-3": (1073.0, 615.0, 345.0, 156.0, 84.0),  # 1-butanol
}
# minutes to 10 % at 1000 ppm, measured in 1976, five of the rows
MEASURED = {"71-43-2": 88.0, "108-88-3": 114.0, "64-17-5": 45.0, "67-63-0": 81.0, "71-36-3": 141.0}


def minutes(cas: str, ppm: np.ndarray, fraction: float = 0.10) -> np.ndarray:
    """Two cartridges of 26 g side by side, 53.3 L/min together, 22 °C, bulk density 0.44 g/cm³ [min]."""
    p = substances.properties(cas, temperature=295.15)
    pressure = ppm * 1e-6 * 101325.0
    density = p.liquid_density.value * 1e-3
    loading = wood_1994.loading(
        pressure=pressure,
        saturation_pressure=p.saturation_pressure.value,
        polarisability=p.molar_polarisability.value,
        liquid_density=density,
        temperature=295.15,
    )
    seconds = closed_form.wheeler_jonas_time(
        fraction=fraction,
        inlet=pressure * p.molar_mass.value / (8.314462618 * 295.15),
        flow=53.3e-3 / 60.0,
        loading=loading,
        mass=52.0,
        bulk_density=0.44e6,
        rate_coefficient=wood_stampfer.rate_coefficient(
            velocity=0.194, polarisability=p.molar_polarisability.value, fraction=fraction
        ),
    )
    return seconds / 60.0


def test_four_rows_of_the_table():
    """rms under 5 %: the table is printed in whole minutes (43 ± 0.5 is 1.2 %) and its property data are others'."""
    deviations = np.concatenate([minutes(cas, PPM) / np.array(row) - 1.0 for cas, row in PRINTED.items()])
    assert np.sqrt(np.mean(deviations**2)) < 0.05
    assert np.abs(deviations).max() < 0.12


@needs_reference
def test_the_whole_table():
    """Allyl alcohol is the exception: 15–32 % short with the vapour pressure of `substances`, 11–25 % with NIOSH's
    17 mmHg at 68 °F. The table puts it above 1-propanol, which has the lower vapour pressure and the larger
    refraction; its inputs are not printed. All others together: rms under 5 %."""
    with (Path(REFERENCE) / "breakthrough_model_table_1994.csv").open(encoding="utf-8") as file:
        rows = [r for r in csv.DictReader(file) if r["t10_min_1000ppm"] and r["cas"] != "107-18-6"]
    deviations = np.concatenate(
        [
            minutes(r["cas"], PPM) / np.array([float(r[f"t10_min_{c:.0f}ppm"]) for c in PPM]) - 1.0
            for r in rows
        ]
    )
    assert deviations.size == 55
    assert np.sqrt(np.mean(deviations**2)) < 0.05


def _against_measured(measured: dict[str, float], correlation: float) -> None:
    from scipy.stats import spearmanr

    model = np.array([float(minutes(cas, np.array([1000.0]))[0]) for cas in measured])
    times = np.array(list(measured.values()))
    assert spearmanr(model, times).statistic >= correlation
    # The published model is 22–41 % low for most of them, and its cartridge (26 g) lighter than those measured
    # (25–40 g): the median ratio must lie in the band that follows.
    assert 0.55 <= np.median(model / times) <= 1.0


def test_five_cartridges_of_1976():
    """Ranks agree but for neighbours within the scatter of cartridges (25–40 g): correlation at least 0.8."""
    _against_measured(MEASURED, 0.8)


@needs_reference
def test_all_cartridges_of_1976():
    with (Path(REFERENCE) / "cartridge_breakthrough_1976.csv").open(encoding="utf-8") as file:
        rows = {r["cas"]: float(r["t10_measured_min"]) for r in csv.DictReader(file) if r["cas"] != "67-56-1"}
    assert len(rows) >= 15
    # The source's own model has a rank correlation of about 0.8 with its measurements.
    _against_measured(rows, 0.7)
