"""The error of a reading: against scipy's normal, and against the two-part error that it stands for."""

import numpy as np
import pytest
from scipy import stats

from stillroom.monitoring.measurement import log_below, log_density, on_scale, value_at


def test_a_censored_value_has_the_probability_of_scipys_normal() -> None:
    # theory: where the error is additive only (s_m → 0) the scale is y/s_a, and "below" is Φ((L − x)/s_a)
    expected = np.array([0.0, 0.01, 0.05, 0.4])
    found = log_below(0.05, expected, relative=1e-4, additive=0.02)
    assert found == pytest.approx(stats.norm.logcdf(0.05, loc=expected, scale=0.02), rel=1e-5)


def test_a_value_has_the_density_of_scipys_normal() -> None:
    # theory: the same limit; the density is on the scale y/s_a, hence times s_a
    found = log_density(0.07, np.array([0.0, 0.05, 0.2]), relative=1e-4, additive=0.02)
    wanted = stats.norm.logpdf(0.07, loc=[0.0, 0.05, 0.2], scale=0.02) + np.log(0.02)
    assert found == pytest.approx(wanted, rel=1e-5)


def test_far_above_the_limit_the_error_is_lognormal() -> None:
    # theory: arsinh(x) → ln(2x), so the scale is ln(y)/s_m
    found = log_density(130.0, 100.0, relative=0.3, additive=0.01)
    assert found == pytest.approx(stats.norm.logpdf(np.log(1.3) / 0.3), rel=1e-5)


def test_density_and_below_are_one_distribution() -> None:
    # theory: the integral of the density up to a limit is the probability of "below" it
    grid = np.linspace(-12.0, on_scale(0.3, relative=0.25, additive=0.02), 40_001)
    values = value_at(grid, relative=0.25, additive=0.02)
    whole = np.trapezoid(np.exp(log_density(values, 0.25, relative=0.25, additive=0.02)), grid)
    assert whole == pytest.approx(np.exp(log_below(0.3, 0.25, relative=0.25, additive=0.02)), rel=1e-6)


@pytest.mark.parametrize("expected", [0.0, 0.005, 0.02, 0.1, 1.0, 10.0])
def test_the_two_part_error_has_spread_one_on_the_scale(expected: float) -> None:
    # Rocke & Lorenzato, Technometrics 37:176 (1995): y = x e^η + ε. The scale is a first-order one: 6 % at s_m = 0.3
    rng = np.random.default_rng(1)
    read = expected * np.exp(0.3 * rng.standard_normal(100_000)) + 0.02 * rng.standard_normal(100_000)
    away = on_scale(read, relative=0.3, additive=0.02) - on_scale(expected, relative=0.3, additive=0.02)
    assert np.std(away) == pytest.approx(1.0, abs=0.06)
    assert np.median(away) == pytest.approx(0.0, abs=0.05)


def test_the_scale_has_its_inverse() -> None:
    values = np.array([-0.1, 0.0, 1e-4, 0.3, 500.0])
    back = value_at(on_scale(values, relative=0.3, additive=0.02), relative=0.3, additive=0.02)
    assert back == pytest.approx(values, rel=1e-12, abs=1e-15)
