"""Draws, and the honesty of the interval about the affinity rule."""

from __future__ import annotations

import csv
import os
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from stillroom import media, substances
from stillroom.media import Interval, scatter
from stillroom.media.equilibrium import dubinin

REFERENCE = os.environ.get("STILLROOM_REFERENCE", "")


def test_sample_meets_its_three_points():
    """Definition. 40 000 draws: the 5 % point of a lognormal with σ = 0.4 is known to about 1 %; 3 % allowed."""
    drawn = media.sample(Interval(0.5, 1.0, 3.0), np.random.default_rng(1), 40_000)
    np.testing.assert_allclose(np.percentile(drawn, [5, 50, 95]), [0.5, 1.0, 3.0], rtol=0.03)


def test_same_seed_same_draws():
    one, two = (media.sample(Interval(1, 2, 3), np.random.default_rng(7), 5) for _ in range(2))
    np.testing.assert_array_equal(one, two)


def _spread(medium, ppm: float) -> np.ndarray:
    """Logarithms of the drawn loadings of toluene on a medium."""
    rng = np.random.default_rng(3)
    n = 4000
    a = dubinin.potential(pressure=ppm * 0.101325, saturation_pressure=3240.0, temperature=295.15)
    energy = media.sample(medium.characteristic_energy, rng, n) * 1e3 * dubinin.affinity(31.1)
    energy *= media.sample(scatter.ENERGY_FACTOR, rng, n)
    limit = media.sample(medium.micropore_volume, rng, n)
    limit *= media.sample(scatter.VOLUME_FACTOR, rng, n)
    return np.log(dubinin.filled_volume(potential=a, energy=energy, temperature=295.15, limit=limit))


def test_spread_widens_towards_low_concentration_and_leans_to_less():
    """Plain D–R carried down from hundreds of ppm errs by factors of 0.3–2.7 (our comparison, docs/theory/media.md):
    the spread at 10 ppb must span a factor of three, that at 1000 ppm less than half of its logarithm."""
    medium = media.load("coconut")
    high, low = _spread(medium, 1000.0), _spread(medium, 0.01)
    five, half, most = np.percentile(low, [5, 50, 95])
    assert half - five > np.log(3.0)
    assert half - five > most - half  # the cautious side is the wider
    assert np.std(high) < 0.5 * np.std(low)


@cache
def _vapour(cas: str, kelvin: float) -> tuple[float, float, float]:
    p = substances.properties(cas, temperature=kelvin)
    values = (p.saturation_pressure, p.liquid_density, p.molar_polarisability)
    return tuple(value.value if value else float("nan") for value in values)


@pytest.mark.skipif(not REFERENCE, reason="STILLROOM_REFERENCE does not point to the data")
def test_the_generic_interval_covers_the_published_isotherms():
    """Tiers A (tables) and B (figures), every carbon as an unspecified one: at least 85 % of the points in the 90 %
    interval (90 % less the scatter of 33 curves whose points are not independent), and no more than 10 % below it,
    the dangerous side. The range p/p_sat < 1e-3 is asked apart."""
    generic, rng, n = media.load("generic"), np.random.default_rng(1), 2000
    volume = media.sample(generic.micropore_volume, rng, n)
    volume *= media.sample(scatter.VOLUME_FACTOR, rng, n)
    energy = media.sample(generic.characteristic_energy, rng, n) * 1e3
    energy *= media.sample(scatter.ENERGY_FACTOR, rng, n)
    within, below, dilute = [], [], []
    with (Path(REFERENCE) / "isotherms_on_carbon.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            pressure, loading = float(row["partial_pressure_Pa"]), float(row["loading_g_per_g"])
            if row["tier"] not in "AB" or pressure <= 0.0 or loading <= 0.0:
                continue
            saturation, density, polarisability = _vapour(row["cas"], float(row["temperature_K"]))
            a = dubinin.potential(
                pressure=pressure, saturation_pressure=saturation, temperature=float(row["temperature_K"])
            )
            held = dubinin.filled_volume(
                potential=a,
                energy=energy * dubinin.affinity(polarisability),
                temperature=float(row["temperature_K"]),
                limit=volume * density * 1e-3,
            )
            low, high = np.percentile(held, [5, 95])
            within.append(low <= loading <= high)
            below.append(loading < low)
            dilute.append(pressure / saturation < 1e-3)
    within, below, dilute = np.array(within), np.array(below), np.array(dilute)
    assert within.size > 800 and dilute.sum() > 50
    assert within.mean() >= 0.85
    assert below.mean() <= 0.10
    assert within[dilute].mean() >= 0.85
