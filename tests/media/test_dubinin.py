"""Dubinin–Radushkevich with its Henry branch: theory, and the few figures that everyone agrees on."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.media.equilibrium import dubinin
from stillroom.units import GAS_CONSTANT

T = 295.15
energies = st.floats(3e3, 40e3)
pressures = st.floats(1e-9, 2e3)


def test_affinity_is_one_for_the_reference_vapour():
    """By definition of β."""
    assert dubinin.affinity(dubinin.BENZENE_POLARISABILITY) == pytest.approx(1.0, abs=1e-12)


def test_affinities_against_wood_2001():
    """Wood, Carbon 39:343 (2001), compilation of experimental β, from memory: toluene 1.25, acetone 0.7,
    methanol 0.4, carbon tetrachloride 1.05. The rule's own standard deviation there is 0.1 (same source)."""
    for polarisability, beta in ((31.1, 1.25), (16.1, 0.70), (8.2, 0.40), (26.4, 1.05)):
        assert float(dubinin.affinity(polarisability)) == pytest.approx(beta, abs=0.1)


def test_filled_volume_is_one_over_e_where_potential_equals_energy():
    """From the definition, exact."""
    one = dubinin.filled_volume(potential=2e4, energy=2e4, temperature=T)
    assert float(one) == pytest.approx(1 / math.e, rel=1e-12)


def test_log_slope_reaches_one_at_the_bend_and_stays():
    """Henry's law: loading proportional to pressure; numerical slopes, so 1e-6."""
    e = 9e3
    bend = float(dubinin.henry_potential(energy=e, temperature=T))
    step = 1e-4
    for potential, slope in ((0.5 * bend, 0.5), (bend * 1.2, 1.0), (bend * 3, 1.0)):
        a = potential + np.array([step, -step]) * GAS_CONSTANT * T
        w = dubinin.filled_volume(potential=a, energy=e, temperature=T)
        assert math.log(w[1] / w[0]) / (2 * step) == pytest.approx(slope, abs=1e-6)
        assert float(dubinin.log_slope(potential=potential, energy=e, temperature=T)) == pytest.approx(slope)


@pytest.mark.parametrize("energy", [5e3, 9e3, 20e3])
@pytest.mark.parametrize("pressure", [1e-6, 1.0, 300.0, 2000.0, 4000.0])
def test_spreading_pressure_is_the_integral_of_loading_over_log_pressure(energy, pressure):
    """The definition, by quadrature from so low a pressure that the rest is Henry's (z = q); quadrature 1e-8."""
    from scipy.integrate import quad

    saturation, q0 = 3000.0, 5e-3

    def loading(log_pressure: float) -> float:
        a = dubinin.potential(pressure=math.exp(log_pressure), saturation_pressure=saturation, temperature=T)
        return float(dubinin.filled_volume(potential=a, energy=energy, temperature=T, limit=q0))

    bend = float(dubinin.henry_potential(energy=energy, temperature=T)) / (GAS_CONSTANT * T)
    start = min(math.log(pressure), math.log(saturation) - bend) - 2.0
    knots = [math.log(saturation) - bend, math.log(saturation)]
    inside = [k for k in knots if start < k < math.log(pressure)]
    integral = (
        loading(start) + quad(loading, start, math.log(pressure), points=inside or None, epsabs=1e-14)[0]
    )
    a = dubinin.potential(pressure=pressure, saturation_pressure=saturation, temperature=T)
    z = dubinin.spreading(potential=a, energy=energy, temperature=T, limit=q0)
    assert float(z) == pytest.approx(integral, rel=1e-7)


@given(energy=energies, reduced=st.floats(-3.0, 60.0))
def test_potential_at_spreading_inverts_spreading(energy, reduced):
    """Round trip over all three branches; erfc and its inverse to 1e-9 of RT where the curve is steep."""
    a = reduced * GAS_CONSTANT * T
    z = dubinin.spreading(potential=a, energy=energy, temperature=T, limit=5e-3)
    back = dubinin.potential_at_spreading(spreading=z, energy=energy, temperature=T, limit=5e-3)
    assert float(back) == pytest.approx(a, abs=1e-5 * GAS_CONSTANT * T)


@given(energy=energies, pressure=pressures, factor=st.floats(1.001, 100.0))
def test_loading_grows_with_pressure_and_falls_with_temperature(energy, pressure, factor):
    """Every physical adsorption isotherm; the saturation pressure of 295 K is raised with temperature as a
    liquid of 35 kJ/mol would (from memory, typical)."""

    def loading(p: float, t: float) -> float:
        saturation = 3000.0 * math.exp(-35e3 / GAS_CONSTANT * (1 / t - 1 / T))
        a = dubinin.potential(pressure=p, saturation_pressure=saturation, temperature=t)
        return float(dubinin.filled_volume(potential=a, energy=energy, temperature=t))

    assert loading(pressure * factor, T) >= loading(pressure, T)
    assert loading(pressure, T + 10.0) <= loading(pressure, T) * (1 + 1e-12)


def test_toluene_at_1000_ppm_holds_about_a_third_of_the_mass():
    """Wang, Pereira, Hung, Air Pollution Control Engineering (2004), p. 411 Example 1: 0.346 lb/lb at 1000 ppmv,
    on one carbon; carbons differ by 18 %, so 20 %. W0 and E0 of the coconut carbon, vapour data from memory."""
    a = dubinin.potential(pressure=101.3, saturation_pressure=3240.0, temperature=T)
    energy = 20.5e3 * dubinin.affinity(31.1)
    w = dubinin.filled_volume(potential=a, energy=energy, temperature=T, limit=0.48)
    assert float(w) * 0.867 == pytest.approx(0.346, rel=0.20)
