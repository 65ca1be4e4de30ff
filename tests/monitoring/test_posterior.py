"""Weights of draws: against a posterior known in closed form, and Kong's effective size."""

import numpy as np
import pytest
from scipy import stats

from stillroom.monitoring.posterior import (
    effective_size,
    log_mean_exp,
    temper,
    weighted_quantile,
    weights,
)


def test_a_conjugate_posterior_comes_back() -> None:
    # theory: prior N(1, 2²), three readings of spread 1.5 → N(m, v), 1/v = 1/4 + 3/2.25, m = v(1/4 + Σy/2.25)
    # (Gelman et al., Bayesian Data Analysis, 3rd ed., eq. 2.11–2.12)
    read = np.array([2.1, 3.4, 2.6])
    variance = 1.0 / (1.0 / 4.0 + 3.0 / 2.25)
    mean = variance * (1.0 / 4.0 + read.sum() / 2.25)
    draws = np.random.default_rng(3).normal(1.0, 2.0, 40_000)
    logs = stats.norm.logpdf(read[:, None], loc=draws, scale=1.5).sum(axis=0)
    weight = weights(logs)
    error = np.sqrt(variance / effective_size(weight))  # Monte Carlo
    assert weight @ draws == pytest.approx(mean, abs=4 * error)
    for share in (0.05, 0.5, 0.95):
        wanted = stats.norm.ppf(share, mean, np.sqrt(variance))
        density = stats.norm.pdf(wanted, mean, np.sqrt(variance))
        spread = np.sqrt(share * (1 - share) / effective_size(weight)) / density
        assert weighted_quantile(draws, weight, share) == pytest.approx(wanted, abs=4 * spread)
    # the evidence: the readings are jointly normal with variance 2.25 I + 4
    joint = stats.multivariate_normal(np.ones(3), 2.25 * np.eye(3) + 4.0).logpdf(read)
    assert float(log_mean_exp(logs)) == pytest.approx(joint, abs=0.03)


def test_a_censored_posterior_comes_back() -> None:
    # theory: prior N(0, 1), one reading "below 0" of spread s: the posterior is skew-normal with shape −1/s
    # (Azzalini, Scand. J. Statist. 12:171, 1985)
    draws = np.random.default_rng(4).standard_normal(40_000)
    weight = weights(stats.norm.logcdf(0.0, loc=draws, scale=0.5))
    wanted = stats.skewnorm(-2.0)
    for share in (0.05, 0.5, 0.95):
        at = wanted.ppf(share)
        spread = np.sqrt(share * (1 - share) / effective_size(weight)) / wanted.pdf(at)
        assert weighted_quantile(draws, weight, share) == pytest.approx(at, abs=4 * spread)


def test_kongs_effective_size() -> None:
    # Kong (1992): n/(1 + cv²), with the population's coefficient of variation; lognormal weights: cv² = e^{s²} − 1
    weight = np.array([0.1, 0.4, 0.2, 0.9, 0.05])
    cv2 = weight.var() / weight.mean() ** 2
    assert effective_size(weight) == pytest.approx(weight.size / (1.0 + cv2), rel=1e-12)
    drawn = np.exp(0.5 * np.random.default_rng(5).standard_normal(200_000))
    assert effective_size(drawn) / drawn.size == pytest.approx(np.exp(-0.25), rel=0.02)
    assert effective_size(np.full(7, 3.0)) == pytest.approx(7.0, rel=1e-12)


def test_tempering_gives_the_size_that_was_asked_for() -> None:
    logs = -0.5 * (np.random.default_rng(6).normal(0.0, 1.0, 2_000) - 3.0) ** 2 / 0.1**2
    assert effective_size(weights(logs)) < 20
    exponent = temper(logs, least=100.0)
    assert 0.0 < exponent < 1.0
    assert effective_size(weights(logs, exponent=exponent)) == pytest.approx(100.0, rel=1e-6)
    assert temper(np.zeros(500), least=100.0) == 1.0


def test_draws_without_any_likelihood_stay_as_they_were() -> None:
    assert weights(np.full(4, -np.inf)) == pytest.approx(0.25)


def test_quantiles_bear_infinity_and_points() -> None:
    values, equal = np.array([1.0, np.inf, 2.0, 3.0]), np.ones(4)
    assert [weighted_quantile(values, equal, share) for share in (0.05, 0.5, 0.75, 0.95)] == [1, 2, 3, np.inf]
    # equal weights: the inverse of the empirical distribution, as numpy names it
    drawn = np.random.default_rng(7).standard_normal(999)
    for share in (0.05, 0.37, 0.5, 0.95):
        wanted = np.quantile(drawn, share, method="inverted_cdf")
        assert weighted_quantile(drawn, np.ones(999), share) == wanted
