"""Ideal adsorbed solution theory: its own conditions, a scalar root finder, and the traps."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.media.equilibrium import dubinin
from stillroom.media.mixtures import ideal_loadings

T = 295.15
RT = 8.31446261815324 * T


def column(*values: float) -> np.ndarray:
    return np.array(values, float)[:, None]


def alone(p, p_sat, e, q0):
    a = dubinin.potential(pressure=p, saturation_pressure=p_sat, temperature=T)
    return dubinin.filled_volume(potential=a, energy=e, temperature=T, limit=q0)


def test_one_vapour_is_its_own_isotherm():
    """Theory; the root is found to 1e-10 in ln p."""
    p = np.geomspace(1e-8, 2e3, 40)[None, :]
    q = ideal_loadings(pressure=p, saturation_pressure=3000.0, energy=2e4, limit=5e-3, temperature=T)
    np.testing.assert_allclose(q, alone(p, 3000.0, 2e4, 5e-3), rtol=1e-9)


def test_two_equal_vapours_share_the_isotherm_of_their_sum():
    """Theory: a vapour mixed with itself. 1e-9 as above."""
    q = ideal_loadings(
        pressure=column(3.0, 1.0), saturation_pressure=3000.0, energy=2e4, limit=5e-3, temperature=T
    )
    np.testing.assert_allclose(q.sum(), alone(4.0, 3000.0, 2e4, 5e-3), rtol=1e-9)
    assert q[0, 0] / q[1, 0] == pytest.approx(3.0, rel=1e-9)


def _reference(p, p_sat, e, q0):
    """The same theory by numerical integration and bisection, sharing nothing but the isotherm."""
    from scipy.optimize import brentq

    logs = [np.linspace(np.log(s) - 60.0, np.log(s) + 45.0, 800001) for s in p_sat]
    loads = [alone(np.exp(x), s, ei, qi) for x, s, ei, qi in zip(logs, p_sat, e, q0, strict=True)]
    zs = []
    for x, q in zip(logs, loads, strict=True):
        steps = 0.5 * (q[1:] + q[:-1]) * np.diff(x)
        zs.append(q[0] + np.concatenate([[0.0], np.cumsum(steps)]))

    def pure_log_pressure(z):
        return np.array([np.interp(z, zi, x) for zi, x in zip(zs, logs, strict=True)])

    root = brentq(
        lambda z: np.sum(p / np.exp(pure_log_pressure(z))) - 1.0, 1e-12, min(z[-1] for z in zs) * 0.99
    )
    pure = np.exp(pure_log_pressure(root))
    x = p / pure
    q_pure = np.array([alone(pi, s, ei, qi) for pi, s, ei, qi in zip(pure, p_sat, e, q0, strict=True)])
    return x / np.sum(x / q_pure)


@pytest.mark.parametrize(
    "p",
    [
        (10.0, 10.0, 10.0),
        (1e-3, 50.0, 5.0),
        (2900.0, 1e-2, 1e-2),
        (
            1e-2,
            25000.0,
            0.0005,
        ),  # the second one's saturation is near, the third's far below the mixture's pressure
    ],
)
def test_three_vapours_against_quadrature_and_bisection(p):
    """Toluene-like, acetone-like and a heavy one whose own saturation pressure is 1e-3 Pa. Trapezia: 1e-4."""
    p_sat, e, q0 = (3000.0, 27000.0, 1e-3), (2.3e4, 1.3e4, 3.0e4), (4.5e-3, 6.5e-3, 2.5e-3)
    ours = ideal_loadings(
        pressure=column(*p),
        saturation_pressure=column(*p_sat),
        energy=column(*e),
        limit=column(*q0),
        temperature=T,
    )[:, 0]
    np.testing.assert_allclose(ours, _reference(np.array(p), p_sat, e, q0), rtol=1e-3, atol=1e-12)


@settings(deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(1e-9, 1e4), st.floats(1e-4, 1e5), st.floats(3e3, 4e4), st.floats(1e-3, 1e-2)),
        min_size=2,
        max_size=8,
    )
)
def test_every_mixture_has_an_answer_within_the_pores_and_below_its_parts(cases):
    """Finite, not negative, filling at most the pores, and adding a vapour never adds to another's loading."""
    p, p_sat, e, q0 = (column(*values) for values in zip(*cases, strict=True))
    q = ideal_loadings(pressure=p, saturation_pressure=p_sat, energy=e, limit=q0, temperature=T)
    assert np.all(np.isfinite(q)) and np.all(q >= 0.0)
    assert float((q / q0).sum()) <= 1.0 + 1e-9
    assert np.all(q <= alone(p, p_sat, e, q0) * (1 + 1e-6))


def test_trace_acetone_under_toluene_is_held_less_than_alone():
    """Common practice, no source: heavy room background pushes out light vapours."""
    p = column(0.01, 0.1)
    p_sat, e, q0 = column(27000.0, 3240.0), column(13e3, 23e3), column(6.5e-3, 4.5e-3)
    q = ideal_loadings(pressure=p, saturation_pressure=p_sat, energy=e, limit=q0, temperature=T)
    own = alone(p, p_sat, e, q0)
    assert q[0, 0] < 0.3 * own[0, 0]
    assert q[1, 0] > 0.99 * own[1, 0]


def test_absent_vapours_hold_nothing():
    q = ideal_loadings(
        pressure=column(0.0, 0.0), saturation_pressure=3000.0, energy=2e4, limit=5e-3, temperature=T
    )
    assert np.all(q == 0.0)
