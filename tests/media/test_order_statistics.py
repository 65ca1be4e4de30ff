"""Bounds on a quantile: against the beta distribution of order statistics, published sample sizes, and known quantiles."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta, norm

from stillroom.media.order_statistics import CONFIDENCE, lower_bound, rank_below, upper_bound


@pytest.mark.parametrize(("rank", "size"), [(1, 59), (2, 93), (3, 124), (4, 153), (5, 181)])
def test_the_published_sample_sizes(rank: int, size: int) -> None:
    """Least sizes for a 95 %/95 % one-sided limit by the first to fifth order statistic: Nutt & Wallis, Reliab. Eng. Syst. Saf. 83
    (2004) 57, after Wilks 1941 (from memory)."""
    assert rank_below(size - 1, 0.05) == rank - 1
    assert rank_below(size, 0.05) == rank


@given(st.integers(10, 20_000), st.floats(0.01, 0.5), st.sampled_from([0.9, 0.95, 0.99]))
def test_the_rank_is_the_largest_that_the_beta_distribution_allows(
    size: int, share: float, confidence: float
) -> None:
    """The k-th of n uniform draws is beta (k, n − k + 1): scipy.stats.beta, another road to the same probability."""
    rank = rank_below(size, share, confidence=confidence)
    if rank:
        assert beta.cdf(share, rank, size - rank + 1) >= confidence - 1e-9
    assert beta.cdf(share, rank + 1, size - rank) < confidence + 1e-9


@pytest.mark.parametrize("size", [100, 400, 1000])
def test_the_true_point_is_not_under_the_bound_as_often_as_is_said(size: int) -> None:
    """4000 samples of a lognormal as steep as a life: 5 % point exp(−1.645 σ). Expected 95 % or a little more (ranks are whole);
    three standard errors of a share are 0.010."""
    rng = np.random.default_rng(5)
    true = math.exp(norm.ppf(0.05) * 3.0)
    draws = np.exp(3.0 * rng.standard_normal((4000, size)))
    held = np.mean([lower_bound(row, 0.05) <= true for row in draws])
    expected = beta.cdf(0.05, rank_below(size, 0.05), size - rank_below(size, 0.05) + 1)
    assert held == pytest.approx(expected, abs=0.010)
    assert expected >= CONFIDENCE
    assert np.mean([upper_bound(1.0 / row, 0.95) >= 1.0 / true for row in draws]) == pytest.approx(
        expected, abs=0.010
    )


def test_too_few_draws_prove_nothing() -> None:
    assert lower_bound(np.arange(58.0), 0.05) == -math.inf
    assert upper_bound(np.arange(58.0), 0.95) == math.inf


def test_infinity_is_borne_and_never_blended() -> None:
    values = np.r_[np.full(38, 7.0), np.full(962, math.inf)]
    assert lower_bound(values, 0.05) == math.inf  # the 39th of 1000 is the bound
    assert lower_bound(np.r_[values[:38], 9.0, values[39:]], 0.05) == 9.0


@given(st.lists(st.floats(-1e6, 1e6), min_size=59, max_size=200))
def test_bounds_lie_on_their_own_sides(values: list[float]) -> None:
    draws = np.array(values)
    assert lower_bound(draws, 0.05) <= np.quantile(draws, 0.05) + 1e-9
    assert upper_bound(draws, 0.95) == -lower_bound(-draws, 0.05)
