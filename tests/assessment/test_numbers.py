"""Crossing times, quantiles and the age clock: plain mathematics, worked by hand."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assessment.invented import cabinet
from stillroom.assessment.checks.age import age_clock
from stillroom.assessment.checks.normal import crossing
from stillroom.assessment.numbers import CAUTIOUS, quantile
from stillroom.assessment.result import SEVERITY, worst
from stillroom.cabinet.load import parse_cabinet, shipped_tables

DAYS = np.array([0.0, 10.0, 20.0, 40.0])


def crosses(*values: float, threshold: float = 1.0) -> float:
    return float(crossing(DAYS, np.array(values)[:, None], threshold)[0])


def test_a_line_is_crossed_where_it_is() -> None:
    """From 0 at 10 days to 4 at 20 days, 1 is passed after a quarter of the way."""
    assert crosses(0.0, 0.0, 4.0, 4.0) == pytest.approx(12.5)


def test_from_the_start_never_and_at_the_last_moment() -> None:
    assert crosses(2.0, 2.0, 2.0, 2.0) == 0.0
    assert crosses(0.0, 0.5, 0.9, 1.0) == math.inf  # reached is not passed
    assert crosses(0.0, 0.0, 0.0, 2.0) == pytest.approx(30.0)


def test_the_first_of_several_crossings_counts() -> None:
    """A vapour that is pushed off the carbon by another passes, and falls again."""
    assert crosses(0.0, 2.0, 0.0, 2.0) == pytest.approx(5.0)


def test_columns_do_not_mix() -> None:
    values = np.array([[0.0, 2.0, 0.0], [2.0, 2.0, 0.0], [2.0, 2.0, 0.0], [2.0, 2.0, 0.0]])
    assert crossing(DAYS, values, 1.0).tolist() == [5.0, 0.0, math.inf]


@given(st.lists(st.floats(0.0, 10.0), min_size=4, max_size=4), st.floats(0.1, 5.0), st.floats(1.0, 2.0))
def test_a_stricter_threshold_is_never_passed_later(
    values: list[float], threshold: float, factor: float
) -> None:
    assert crosses(*values, threshold=threshold) <= crosses(*values, threshold=threshold * factor)


def test_a_finite_quantile_is_the_usual_one() -> None:
    """0 … 100: the 5 % quantile is 5 (linear between order statistics)."""
    assert quantile(np.arange(101.0), 0.05) == pytest.approx(5.0)


def test_infinity_is_never_blended() -> None:
    values = np.array([1.0, 2.0, math.inf, math.inf])
    assert quantile(values, 0.0) == 1.0
    assert quantile(values, 0.5) == 2.0  # the next lower draw, not the mean of 2 and infinity
    assert quantile(values, 1.0) == math.inf
    assert quantile(np.full(3, math.inf), CAUTIOUS) == math.inf


@given(st.lists(st.one_of(st.floats(0.0, 1e6), st.just(math.inf)), min_size=1, max_size=30))
def test_quantiles_are_never_nan_and_rise(values: list[float]) -> None:
    drawn = np.array(values)
    found = [quantile(drawn, share) for share in (0.05, 0.5, 0.95)]
    assert not any(math.isnan(value) for value in found)
    assert all(low <= high * (1 + 1e-12) for low, high in pairwise(found))  # rounding of the interpolation


def test_the_age_clock_is_the_cabinets() -> None:
    clock = age_clock(cabinet(), 7)
    assert clock.days.tolist() == [365.0] * 7
    assert "as stated for this cabinet" in clock.words


def test_an_unstated_age_is_said_to_be_common_practice() -> None:
    tables = shipped_tables("full-height")
    del tables["cabinet"]["max_filter_age_days"]
    clock = age_clock(parse_cabinet(tables), 1)
    assert clock.days.tolist() == [365.0]  # about one year (common practice, no source)
    assert "common practice, no source" in clock.words


def test_a_refusal_outweighs_everything() -> None:
    assert worst(list(SEVERITY)) == "not approved"
    assert worst(["approved", "cannot tell", "approved with conditions"]) == "cannot tell"
    assert worst(["approved", "approved with conditions"]) == "approved with conditions"
