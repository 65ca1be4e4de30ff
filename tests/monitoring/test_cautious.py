"""The cautious end of weighted draws, against exact quantiles of scipy's distributions."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from stillroom.media.order_statistics import lower_bound
from stillroom.monitoring.judge import cautious, interval


@pytest.mark.parametrize("size", [100, 1000, 2400])
def test_with_equal_weights_it_is_the_bound_of_the_assessment(size) -> None:
    life = np.random.default_rng(3).lognormal(5.0, 1.0, size)
    assert cautious(life, np.full(size, 1.0 / size)) == lower_bound(life, 0.05)


@pytest.mark.parametrize("shift", [-1.0, 0.5, 1.5])
def test_draws_of_one_distribution_weighted_to_another_are_not_believed_too_far(shift) -> None:
    """Drawn from N(0, 1), weighted to N(shift, 1): the bound lies at or under the true 5 % point in about 95 of 100 tries."""
    rng = np.random.default_rng(7)
    truth = stats.norm(shift).ppf(0.05)
    held = points = 0
    for _ in range(400):
        drawn = rng.standard_normal(1000)
        weight = stats.norm(shift).pdf(drawn) / stats.norm.pdf(drawn)
        held += cautious(drawn, weight) <= truth
        points += interval(drawn, weight).p05 <= truth
    assert held >= 0.90 * 400
    assert points <= 0.65 * 400, "the 5 % point itself is no bound"


def test_it_never_lies_above_the_point_and_bears_lives_without_end() -> None:
    life = np.array([10.0, 20.0, np.inf, np.inf])
    weight = np.array([0.0, 0.2, 0.4, 0.4])
    assert cautious(life, weight) == 20.0 <= interval(life, weight).p05
    assert cautious(np.full(200, np.inf), np.ones(200)) == np.inf


def test_equal_draws_at_the_age_clock_do_not_hide_that_few_are_short() -> None:
    """990 of 1,000 at a year, ten at once: the bound is the 38th draw (docs/decisions/0029), as in the assessment; not the least."""
    life = np.full(1000, 365.0)
    life[:10] = 0.0
    assert cautious(life, np.ones(1000)) == lower_bound(life, 0.05) == 365.0
    life[:40] = 0.0
    assert cautious(life, np.ones(1000)) == 0.0
