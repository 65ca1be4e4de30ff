"""Pure vapours' laws as tables: against closed forms, how the error falls with the nodes, and both closed ends."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.media import tables
from stillroom.media.equilibrium import dubinin
from stillroom.units import GAS_CONSTANT

T = 295.15
RT = GAS_CONSTANT * T


def errors(table: tables.Tables, log_spreading, log_pressure, log_loading) -> tuple[float, float]:
    """Largest errors of ln p° and ln q°."""
    return (
        float(np.abs(table.log_pressure(log_spreading) - log_pressure).max()),
        float(np.abs(table.log_loading(log_spreading) - log_loading).max()),
    )


def langmuir_errors(nodes: int) -> tuple[float, float]:
    """q = 3 y'/(1 + y') in closed form, from 1e-13 of Henry's range to 60 times the capacity."""
    y = np.exp(np.linspace(-30.0, np.log(60.0), 3001))
    table = tables.langmuir(limit=[3.0], affinity=[0.01], nodes=nodes)
    return errors(
        table, np.log(3.0 * y), np.log(np.expm1(y)) - np.log(0.01), np.log(3.0) + np.log(-np.expm1(-y))
    )


def radushkevich_errors(energy: float, nodes: int) -> tuple[float, float]:
    """`dubinin`'s own closed forms, from deep in Henry's range to e^20 times saturation."""
    a = np.linspace(-20.0 * RT, energy**2 / (2.0 * RT) + 3.0 * RT, 3001)
    z = dubinin.spreading(potential=a, energy=energy, temperature=T, limit=5.0)
    q = dubinin.filled_volume(potential=a, energy=energy, temperature=T, limit=5.0)
    table = tables.dubinin_astakhov(
        saturation_pressure=3000.0, energy=energy, limit=5.0, temperature=T, nodes=nodes
    )
    return errors(table, np.log(z), np.log(3000.0) - a / RT, np.log(q))


def astakhov_errors(exponent: float, energy: float, nodes: int) -> tuple[float, float]:
    """The incomplete gamma function, between the onset of Henry's law (or 1e-20 of the pores) and saturation."""
    from scipy.special import gamma, gammaincc

    onset = (energy / (exponent * RT)) ** (exponent / (exponent - 1.0))
    x = np.linspace(0.0, min(onset, 46.0) ** (1.0 / exponent), 3001)
    scale = 5.0 * energy / RT * gamma(1.0 / exponent) / exponent
    beyond = 5.0 * np.exp(-onset) - scale * gammaincc(1.0 / exponent, onset)
    z = scale * gammaincc(1.0 / exponent, x**exponent) + beyond
    table = tables.dubinin_astakhov(
        saturation_pressure=3000.0, energy=energy, limit=5.0, temperature=T, exponent=exponent, nodes=nodes
    )
    return errors(table, np.log(z), np.log(3000.0) - energy / RT * x, np.log(5.0) - x**exponent)


def dual_errors(nodes: int) -> tuple[float, float]:
    """Two kinds of sites, b four decades apart: closed in p."""
    q0, b = np.array([[2.0], [1.0]]), np.array([[1e-3], [10.0]])
    y = b * np.exp(np.linspace(-25.0, 40.0, 3001))
    table = tables.langmuir(limit=q0[:, 0], affinity=b[:, 0], nodes=nodes)
    z, q = (q0 * np.log1p(y)).sum(0), (q0 * y / (1.0 + y)).sum(0)
    return errors(table, np.log(z), np.log(y[0] / b[0]), np.log(q))


@pytest.mark.parametrize("energy", [5e3, 9e3, 13e3, 20e3, 30e3])
def test_radushkevich_to_1e_7(energy):
    """The accuracy promised with the usual nodes; E of carbons is 5 to 30 kJ/mol."""
    assert max(radushkevich_errors(energy, tables.NODES)) < 1e-7


def test_langmuir_to_1e_8():
    """Langmuir's law has no bends; beyond 24 capacities its table ends, which costs 4e-11 of ψ: 2e-9 in ln p at 60."""
    assert max(langmuir_errors(tables.NODES)) < 1e-8


@pytest.mark.parametrize(
    ("exponent", "energy", "nodes"),
    [(1.2, 13e3, 256), (1.5, 25e3, 256), (1.8, 13e3, 128), (2.5, 25e3, 128), (3.0, 25e3, 128)],
)
def test_astakhov_to_1e_7(exponent, energy, nodes):
    """A power that is not whole has a cusp at saturation: nodes crowd there, and more are needed below 1.8."""
    assert max(astakhov_errors(exponent, energy, nodes)) < 1e-7


def test_two_kinds_of_sites_to_1e_7_with_512_nodes():
    assert max(dual_errors(512)) < 1e-7


@pytest.mark.parametrize(
    "law",
    [
        langmuir_errors,
        lambda nodes: radushkevich_errors(20e3, nodes),
        lambda nodes: astakhov_errors(1.5, 13e3, nodes),
        dual_errors,
    ],
)
def test_doubling_the_nodes_divides_the_error_by_2_to_the_5(law):
    """A fifth-degree Hermite polynomial errs by h⁶, its slope by h⁵: 32 for q; half of it left for the
    asymptote's sake, and rounding and Langmuir's end (2e-9) excepted."""
    coarse, fine = (law(nodes) for nodes in (64, 128))
    assert fine[1] < max(coarse[1] / 16.0, 3e-9)
    assert fine[0] < max(coarse[0] / 16.0, 3e-9)


def test_a_law_given_as_a_function_makes_the_same_table():
    """Quadrature and five-point differences against the closed form: 1e-12 of values up to 50."""
    energy = 18e3
    known = tables.dubinin_astakhov(saturation_pressure=3000.0, energy=energy, limit=5.0, temperature=T)

    def loading(log_p):
        return dubinin.filled_volume(
            potential=RT * (np.log(3000.0) - log_p), energy=energy, temperature=T, limit=5.0
        )

    onset = np.log(3000.0) - 0.5 * (energy / RT) ** 2
    found = tables.from_loading(loading, log_low=onset, log_high=np.log(3000.0))
    np.testing.assert_allclose(found.values, known.values, rtol=1e-11, atol=1e-12)
    np.testing.assert_allclose(found.grid, known.grid, rtol=1e-11, atol=1e-12)


def test_a_function_of_many_draws_and_its_slope():
    """Langmuir's law given as a function, its own slope with it: against its own builder at the same ψ, 1e-8."""
    b = np.array([[1e-3, 2e-3, 5e-3]])
    made = tables.from_loading(
        lambda x: 3.0 / (1.0 + np.exp(-x) / b),
        slope=lambda x: 1.0 / (1.0 + b * np.exp(x)),
        log_low=np.log(1e-9 / b),
        log_high=np.log(1e5 / b),
        nodes=256,
    )
    s = np.log(3.0) + np.linspace(-12.0, 2.0, 50)[:, None, None]
    known = tables.langmuir(limit=[np.full_like(b, 3.0)], affinity=[b], nodes=256)
    assert made.values.shape == (1, 3, 256, 4)
    np.testing.assert_allclose(made.log_pressure(s), known.log_pressure(s), atol=1e-8)
    np.testing.assert_allclose(made.log_loading(s), known.log_loading(s), atol=1e-8)


@settings(deadline=None, max_examples=40)
@given(energy=st.floats(2e3, 4e4), exponent=st.floats(1.2, 6.0), s=st.floats(-60.0, 4.0))
def test_loading_grows_and_never_passes_henry_nor_full_pores(energy, exponent, s):
    """d ln p/d ln ψ = ψ/q ≥ 1 and growing q, everywhere. Interpolation may err by 1e-5 for the harshest here."""
    table = tables.dubinin_astakhov(
        saturation_pressure=50.0, energy=energy, limit=4.0, temperature=T, exponent=exponent
    )
    points = s + np.array([0.0, 0.2])
    q = table.log_loading(points)
    assert np.all(q <= points + 1e-5)
    assert q[1] >= q[0] - 1e-5
    assert np.all(q <= np.log(4.0) + 1e-5)
    assert table.log_pressure(points[1]) - table.log_pressure(points[0]) >= 0.2 - 1e-5


def test_beyond_saturation_the_pores_stay_full():
    """The extrapolation as it is documented: q = q_sat, ln p = ln p_sat + (ψ − ψ_sat)/q_sat; algebra."""
    table = tables.langmuir(limit=[2.0], affinity=[0.5], saturation_pressure=8.0)
    full, q = 2.0 * np.log(5.0), 2.0 * 0.8
    psi = full + np.array([0.0, 1.0, 30.0])
    np.testing.assert_allclose(table.log_loading(np.log(psi)), np.log(q), rtol=1e-12)
    np.testing.assert_allclose(table.log_pressure(np.log(psi)), np.log(8.0) + (psi - full) / q, rtol=1e-12)


def test_stacked_tables_keep_their_order_and_draws():
    one = tables.langmuir(limit=[2.0], affinity=[0.5])
    many = tables.langmuir(limit=np.full((1, 2, 3), 4.0), affinity=np.full((1, 2, 3), 0.1))
    both = tables.stack(one, many, tables.langmuir(limit=np.full((1, 3), 5.0), affinity=np.full((1, 3), 0.2)))
    assert both.values.shape == (4, 3, tables.NODES, 4) and both.grid.shape == (4, 3, 9)
    assert both.values.flags.c_contiguous and both.grid.flags.c_contiguous
    np.testing.assert_allclose(both.log_loading(9.0)[:, 2], np.log([2.0, 4.0, 4.0, 5.0]), atol=1e-9)


def test_ten_vapours_and_a_thousand_draws_stay_below_300_mb():
    """4 kB each with 128 nodes, 16 kB with 512."""
    one = tables.langmuir(limit=[2.0], affinity=[0.5], nodes=512)
    assert (one.values.nbytes + one.grid.nbytes) * 10 * 1000 < 300e6


def test_an_exponent_without_henrys_law_is_refused():
    with pytest.raises(ValueError, match="above one"):
        tables.dubinin_astakhov(saturation_pressure=1.0, energy=1e4, limit=1.0, temperature=T, exponent=1.0)
