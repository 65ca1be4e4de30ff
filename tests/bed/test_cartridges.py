"""Respirator cartridges measured in 1976: times, their order, and how wide a front is.

Minutes until 1 % and 10 % of 1000 ppm are through, G. O. Nelson & A. N. Correia, AIHAJ 37:514 (1976), as printed in OSHA's respirator
eTool: two cartridges side by side, 53.3 L/min, 22 °C, carbon and air at 50 % relative humidity. The carbon weighed 25–40 g a
cartridge. Face 46 cm² (19.4 cm/s, Wood 1994). Grains of 12×20 mesh are usual there (from memory): 1.0–1.6 mm.
"""

from __future__ import annotations

import csv
import dataclasses
import os
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import spearmanr

from stillroom import bed, media
from stillroom.media.equilibrium import dubinin
from stillroom.media.kinetics import dispersion, wood_stampfer
from stillroom.media.model import Interval
from stillroom.substances import properties

REFERENCE = os.environ.get("STILLROOM_REFERENCE", "")
needs_reference = pytest.mark.skipif(not REFERENCE, reason="STILLROOM_REFERENCE does not point to the data")

# Eight of the rows (methanol's minutes from the percentages printed beside the rounded ones).
CARTRIDGES = {
    "71-43-2": (73, 88),  # benzene
    "108-88-3": (94, 114),  # toluene
    "98-82-8": (81, 103),  # cumene
    "67-56-1": (0.2, 3.2),  # methanol
    "64-17-5": (28, 45),  # ethanol
    "67-63-0": (54, 81),  # isopropanol
    "71-36-3": (115, 141),  # butanol
    "108-11-2": (75, 96),  # 4-methyl-2-pentanol
}
METHANOL = "67-56-1"
LIGHTEST, HEAVIEST = 0.050, 0.080  # carbon in two cartridges [kg]
MIDDLE = 0.065
FLOW, FACE = 53.3e-3 / 60.0, 45.8e-4
INLET = 1e-3 * 101325.0 / (8.314462618 * 295.15)  # [mol/m³]
MESH = Interval(1.0e-3, 1.27e-3, 1.6e-3, "from-memory")


@cache
def minutes(cas: str, fraction: float, mass: float, name: str, *, mesh: bool, size: int = 300) -> np.ndarray:
    """Draws of the time to `fraction` [min], as an assessment would have it."""
    medium = media.load(name)
    if mesh:
        medium = dataclasses.replace(medium, grain_diameter=MESH)
    tight = Interval(1e-9, 1e-9, 1e-9)
    drawn = bed.Stack.draw(
        media.FilterStack(None, (media.Bed(medium, mass, FACE),), tight),
        [bed.Vapour(properties(cas, temperature=295.15))],
        flow=FLOW,
        temperature=295.15,
        pressure=101325.0,
        relative_humidity=0.5,
        rng=np.random.default_rng(1),
        size=size,
    )
    return np.asarray(drawn.time_to(fraction, np.full((1, size), INLET))[0] / 60.0)


def medians(cases: list[str], mass: float, name: str) -> np.ndarray:
    """(2, n): medians of the times to 1 % and 10 %."""
    return np.array(
        [[np.median(minutes(cas, x, mass, name, mesh=True)) for cas in cases] for x in (0.01, 0.1)]
    )


def all_of_them() -> tuple[list[str], np.ndarray]:
    """CAS numbers but methanol's, and (2, n) the measured minutes."""
    with (Path(REFERENCE) / "cartridge_breakthrough_1976.csv").open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["cas"] != METHANOL]
    times = np.array([[float(row[f"t{x}_measured_min"]) for row in rows] for x in (1, 10)])
    return [row["cas"] for row in rows], times


def eight() -> tuple[list[str], np.ndarray]:
    cases = [cas for cas in CARTRIDGES if cas != METHANOL]
    return cases, np.array([CARTRIDGES[cas] for cas in cases], float).T


@pytest.mark.parametrize("cas", CARTRIDGES)
def test_cartridges_of_1976(cas: str) -> None:
    """Both times lie in the 90 % interval, its ends for the lightest and the heaviest of the cartridges, 25 and 40 g, from
    methanol's seconds to butanol's hours."""
    for fraction, measured in zip((0.01, 0.10), CARTRIDGES[cas], strict=True):
        low, high = (
            minutes(cas, fraction, mass, "coconut", mesh=False, size=400) for mass in (LIGHTEST, HEAVIEST)
        )
        assert np.quantile(low, 0.05) < measured < np.quantile(high, 0.95)


def _width(
    cases: list[str], measured: np.ndarray, monkeypatch: pytest.MonkeyPatch, *, near: float, far: float
) -> None:
    ratio = measured[0] / measured[1]
    own = {}
    for mixed in (True, False):
        minutes.cache_clear()
        if not mixed:
            monkeypatch.setattr(dispersion, "rate_coefficient", lambda **_: np.asarray(1e12))
        for name in ("generic", "coconut"):
            found = medians(cases, MIDDLE, name)
            own[mixed, name] = found[0] / found[1] - ratio
    minutes.cache_clear()
    for name in ("generic", "coconut"):
        assert abs(np.mean(own[True, name])) < near
        assert np.sqrt(np.mean(own[True, name] ** 2)) < 0.09
        assert np.mean(own[False, name]) > far


def test_a_front_is_as_wide_as_measured_where_mixing_is_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Time to 1 % over time to 10 %, seven vapours, measured 0.62–0.83: mean error under 0.05 either way with mixing along the bed,
    over 0.04 and late without. Grain and mass are of the middle."""
    _width(*eight(), monkeypatch, near=0.05, far=0.04)


@needs_reference
def test_all_fronts_are_as_wide_as_measured(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same of sixteen, measured 0.62–0.85: under 0.03 with mixing, over 0.06 without."""
    _width(*all_of_them(), monkeypatch, near=0.03, far=0.06)


@needs_reference
def test_the_skew_of_1993_is_not_seen() -> None:
    """Closed form on the generic carbon, rate of 1993 at 10 %: with 32.5 g a cartridge the symmetric front has the measured ratio within
    0.05 (rms), the skewed one within 0.10 and too late on the whole. With 26 g it is the other way round, but then the same form has
    two thirds of the measured minutes only."""
    cases, measured = all_of_them()
    known = [properties(cas, temperature=295.15) for cas in cases]

    def column(name: str) -> np.ndarray:
        return np.array([getattr(p, name).value for p in known])

    refraction = column("molar_polarisability")
    volume = dubinin.filled_volume(
        potential=dubinin.potential(
            pressure=101.325, saturation_pressure=column("saturation_pressure"), temperature=295.15
        ),
        energy=19e3 * dubinin.affinity(refraction),
        temperature=295.15,
        limit=0.46,
    )
    held = volume / (column("molar_mass") / column("liquid_density") * 1e3)  # [mol/g]

    def both(grams: float, *, skewed: bool) -> np.ndarray:
        rate = wood_stampfer.rate_coefficient(velocity=0.194, polarisability=refraction, fraction=0.1)
        return np.array(
            [
                bed.closed_form.breakthrough_time(
                    fraction=x,
                    inlet=INLET,
                    flow=FLOW,
                    capacity=held * grams,
                    units=rate * grams * 1e-3 / 440.0 / FLOW,
                    skew=wood_stampfer.skew(polarisability=refraction, fraction=x) if skewed else 1.0,
                )
                / 60.0
                for x in (0.01, 0.1)
            ]
        )

    def off(times: np.ndarray) -> np.ndarray:
        return np.asarray(times[0] / times[1] - measured[0] / measured[1])

    def rms(times: np.ndarray) -> float:
        return float(np.sqrt(np.mean(off(times) ** 2)))

    assert rms(both(65.0, skewed=False)) < 0.05
    assert 0.08 < rms(both(65.0, skewed=True)) < 0.10
    assert np.mean(off(both(65.0, skewed=True))) > 0.05
    assert rms(both(52.0, skewed=True)) < rms(both(52.0, skewed=False))
    assert np.median(both(52.0, skewed=True)[1] / measured[1]) < 0.70


@needs_reference
def test_order_and_level_of_all_cartridges() -> None:
    """Sixteen vapours beside methanol, times to 10 %. Nothing is fitted to them.

    Order: rank correlation 0.87 by the generic carbon (0.85 by the form of 1994, 0.79 by its own printed values), under the 0.9 that one
    would like; allyl alcohol, which every form puts too high, is two fifths of what is missing: without it 0.88 or more. Coconut's higher
    energy flattens the light vapours: 0.81. Level: the median of model over measured passes one between 25 and 40 g a cartridge.
    """
    cases, measured = all_of_them()
    assert len(cases) == 16
    generic, coconut = (medians(cases, MIDDLE, name)[1] for name in ("generic", "coconut"))
    rank = spearmanr(generic, measured[1]).statistic
    assert 0.83 < rank < 0.90
    assert rank > spearmanr(coconut, measured[1]).statistic
    others = np.array([cas != "107-18-6" for cas in cases])
    assert spearmanr(generic[others], measured[1][others]).statistic > 0.88
    light, heavy = (
        np.median(medians(cases, mass, "coconut")[1] / measured[1]) for mass in (LIGHTEST, HEAVIEST)
    )
    assert light < 1.0 < heavy
