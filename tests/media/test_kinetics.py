"""Rate coefficients: orders of magnitude and limits."""

from __future__ import annotations

import numpy as np
import pytest

from stillroom.media.kinetics import film, pores, wood_lodewyckx, wood_stampfer

CASE = {"velocity": 0.2, "grain_diameter": 1.5e-3}


def test_film_of_still_air_is_sherwood_two():
    """Theory: Sh → 2 at rest, k_f a = 2 D/d · 6(1−ε)/d. The correlation is exact there, 1e-9."""
    k = film.rate_coefficient(velocity=1e-30, grain_diameter=2e-3, diffusivity=8e-6, void_fraction=0.4)
    assert float(k) == pytest.approx(2 * 8e-6 / 2e-3 * 6 * 0.6 / 2e-3, rel=1e-9)


def test_film_of_a_bed_by_hand():
    """Wakao & Funazkri by hand: ν 1.525e-5 m²/s, Re 19.7, Sc 1.91, Sh = 2 + 1.1·1.240·5.98 = 10.2;
    k_f a = 10.2·8e-6/1.5e-3·2400 = 130 /s. Hand figures to 2 %."""
    k = film.rate_coefficient(**CASE, diffusivity=8e-6, void_fraction=0.4)
    assert float(k) == pytest.approx(130.0, rel=0.02)


def test_two_published_correlations_agree_within_their_scatter():
    """Wood & Stampfer 1993 (respirator carbon, from memory) and Wood & Lodewyckx 2003 are fits to
    overlapping data: toluene at 1000 ppm, 19.4 cm/s, 10 %, grains of 12×20 mesh (0.85–1.70 mm, mean 1.27 mm).
    Within a factor of 2: grain size is not in the first."""
    first = wood_stampfer.rate_coefficient(velocity=0.194, polarisability=31.1, fraction=0.1)
    second = wood_lodewyckx.rate_coefficient(
        affinity=1.16, velocity=0.194, grain_diameter=1.27e-3, loading=0.3, molar_mass=92.14
    )
    assert 0.5 < float(first / second) < 2.0


def test_rates_rise_with_flow_and_fall_with_grain():
    """Theory of film and pores."""
    u = np.array([0.05, 0.1, 0.2, 0.4])
    d = np.array([0.5e-3, 1e-3, 2e-3, 4e-3])
    assert np.all(
        np.diff(film.rate_coefficient(velocity=u, grain_diameter=1e-3, diffusivity=8e-6, void_fraction=0.4))
        > 0
    )
    for k in (
        film.rate_coefficient(velocity=0.2, grain_diameter=d, diffusivity=8e-6, void_fraction=0.4),
        pores.rate_coefficient(grain_diameter=d, diffusivity=8e-6, void_fraction=0.4),
        wood_lodewyckx.rate_coefficient(
            affinity=1.0, velocity=0.2, grain_diameter=d, loading=0.1, molar_mass=80.0
        ),
    ):
        assert np.all(np.diff(k) < 0)
