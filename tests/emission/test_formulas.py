"""The formulas of evaporation against textbooks and agencies."""

from __future__ import annotations

import math

import numpy as np
import pytest

from stillroom import emission
from stillroom.emission.closures import neck_bore
from stillroom.emission.model import Spill, interval, intervals
from stillroom.emission.spills import AIR_VISCOSITY
from stillroom.sources import cite
from stillroom.units import GAS_CONSTANT

TORR = 133.322
PSI, FAHRENHEIT = 6894.757, 5.0 / 9.0


def test_diffusion_through_a_tapered_neck() -> None:
    # Tosun, Modelling in Transport Phenomena, Example 8.15: ethanol, 25 °C, 58.6 mmHg, D 1.35e-5 m²/s,
    # diameters 2 and 1.5 m, 0.5 m high: 2.1e-4 mol/s. Two printed digits: half the last is 2.4 %.
    length = math.pi * 2.0 * 1.5 / (4.0 * 0.5)
    rate = emission.closure_rate(
        58.6 * TORR, diffusion_length=length, diffusivity=1.35e-5, temperature=298.15, pressure=101325.0
    )
    assert float(rate) == pytest.approx(2.1e-4, rel=0.024)


def test_stefan_factor_has_its_limits() -> None:
    # Brighton (1985): the correction −(P/p) ln(1 − p/P) tends to one for thin vapours; 1.386 at one half (2
    # ln 2).
    assert float(emission.stefan_factor(1e-7)) == pytest.approx(1.0, abs=1e-6)
    assert float(emission.stefan_factor(0.5)) == pytest.approx(2.0 * math.log(2.0), rel=1e-12)
    assert float(emission.stefan_factor(2.0)) == float(emission.stefan_factor(0.95))


def _antoine(a: float, b: float, c: float, kelvin: float) -> float:
    return 10.0 ** (a - b / (kelvin - 273.15 + c)) * TORR


def test_expansion_factor_of_ap42_example_1() -> None:
    # AP-42 ch. 7.1 (1997), Example 1 (Denver): T_LA 512.36 °R, ΔT_V 27.7 °R, p_VA 0.880 psia, P 12.12 psia
    # (from memory), vent 0.06 psi (from memory), liquid mole fractions from 2812, 258 and 101 lb: K_E 0.077.
    # Antoine constants of benzene, toluene, cyclohexane from the Dortmund and Ohe tables (from memory).
    # Tolerance 5 %: these constants are not the example's own.
    liquid = 512.36 * FAHRENHEIT
    swing = 27.7 * FAHRENHEIT
    moles = np.array([2812 / 78.11, 258 / 92.14, 101 / 84.16])
    x = moles / moles.sum()
    constants = [(6.905, 1211.033, 220.79), (6.954, 1344.8, 219.48), (6.841, 1201.53, 222.65)]

    def vapour(kelvin: float) -> float:
        return sum(xi * _antoine(*row, kelvin) for xi, row in zip(x, constants, strict=True))

    # AP-42: the liquid's surface swings by a quarter of ΔT_V to each side
    factor = emission.expansion_factor(
        temperature=liquid,
        temperature_swing=swing,
        partial_pressure=0.880 * PSI,
        partial_pressure_swing=vapour(liquid + 0.25 * swing) - vapour(liquid - 0.25 * swing),
        pressure=12.12 * PSI,
        vent_setting=0.06 * PSI,
    )
    assert float(factor) == pytest.approx(0.077, rel=0.05)
    # the example reads benzene 2.6 % below its own Antoine equation
    assert vapour(liquid) == pytest.approx(0.880 * PSI, rel=0.03)


def test_vapour_density_and_breathing_of_ap42_example_1() -> None:
    # Same: W_V 1.26e-2 lb/ft³ from M 78.6, p 0.880 psia, 512.36 °R; L_S = 365·114.86·W_V·0.077·0.841 = 34.2
    # lb/yr. The saturation factor 0.841 is left out here (one, which is cautious). Printed digits: half the
    # last of W_V is 0.4 %.
    kelvin = 512.36 * FAHRENHEIT
    rate = emission.breathing_rate(
        0.880 * PSI, vapour_space=114.86 * 0.0283168, expansion=0.077, temperature=kelvin
    )
    pounds_a_year = float(rate) * 78.6e-3 * 365 * 86400 / 0.45359237
    assert pounds_a_year * 0.841 == pytest.approx(34.2, rel=0.005)


def test_opening_is_a_mass_balance() -> None:
    # algebra: one opening a week that loses the whole headspace of 1 L at 2479 Pa, 298.15 K is 1 mmol a week
    rate = emission.opening_rate(
        1.0 * GAS_CONSTANT * 298.15,
        openings_per_week=1.0,
        headspace=1e-3,
        headspace_lost=1.0,
        open_rate=0.0,
        seconds_open=60.0,
        temperature=298.15,
    )
    assert float(rate) * 604800 == pytest.approx(1e-3, rel=1e-12)


def test_mass_transfer_in_metres_and_hours() -> None:
    # Mackay & Matsugu (1973): k = 0.0292 U^0.78 D^-0.11 Sc^-0.67, metres and hours.
    # Tolerance 3 %: two-digit exponents, U in m/h.
    u, d, sc = 5.0, 1.5, 2.0
    hours = 0.0292 * (u * 3600.0) ** 0.78 * d**-0.11 * sc**-0.67
    ours = emission.forced_transfer(air_speed=u, pool_diameter=d, schmidt=sc)
    assert float(ours) * 3600 == pytest.approx(hours, rel=0.03)


@pytest.mark.parametrize(
    ("molar_mass", "diffusivity"), [(92.14, 8.0e-6), (58.08, 1.05e-5), (32.04, 1.5e-5), (165.8, 7.5e-6)]
)
@pytest.mark.parametrize("speed", [0.05, 0.5, 1.5])
def test_forced_transfer_against_the_agency_pool_equation(
    molar_mass: float, diffusivity: float, speed: float
) -> None:
    # EPA 550-B-99-009, App. D: QR = 0.284 U^0.78 MW^(2/3) A VP/(82.05 T), lb/min, ft², mmHg, K. Both are fits
    # to other pools: within a factor of 1.5 of one another. Diffusivities from memory, ±10 %.
    feet2, mmhg, kelvin = 10.764, 10.0, 295.15
    pounds = 0.284 * speed**0.78 * molar_mass ** (2 / 3) * feet2 * mmhg / (82.05 * kelvin)
    theirs = pounds * 0.45359237 / 60 / (molar_mass * 1e-3 * mmhg * TORR / (GAS_CONSTANT * kelvin))
    ours = float(
        emission.forced_transfer(air_speed=speed, pool_diameter=1.0, schmidt=AIR_VISCOSITY / diffusivity)
    )
    assert 1 / 1.5 < ours / theirs < 1.5


def test_free_convection_of_a_heated_plate() -> None:
    # Correlation in its own terms (Incropera & DeWitt, 5th ed., Eq. 9.30 and 9.32): Sh = 0.54 Ra^(1/4) where
    # the vapour is light, half of that where it is heavy; algebra.
    common = {"pool_diameter": 0.4, "diffusivity": 1e-5}
    light = float(emission.free_transfer(density_ratio=-0.05, **common))
    rayleigh = 9.80665 * 0.05 * 0.1**3 / (AIR_VISCOSITY * 1e-5)
    assert light == pytest.approx(0.54 * rayleigh**0.25 * 1e-5 / 0.1, rel=1e-12)
    assert float(emission.free_transfer(density_ratio=0.05, **common)) == pytest.approx(light / 2, rel=1e-12)


def test_textbook_pool() -> None:
    # Crowl & Louvar, ch. 3: K = 0.83 cm/s (18/M)^(1/3); M 65, 1 m², 5000 Pa, 300 K: 0.70494 g/s
    # (2e-4: the gas constant's digits).
    k = 0.83e-2 * (18.0 / 65.0) ** (1.0 / 3.0)
    pool = Spill(
        cas=("x",),
        conductance=np.full((1, 1), k * 1.0),
        saturation=np.array([5000.0 / (GAS_CONSTANT * 300.0)]),
        amount=np.array([1e9]),
        pool_area=np.ones(1),
        temperature=300.0,
        pressure=101325.0,
        mass=65e6,
        molar_mass=np.array([0.065]),
        latent_temperature=np.zeros(1),
        exponent=np.zeros(1),
        heat_capacity=np.ones(1),
        warming=np.zeros(1),
    )
    assert float(pool.rate[0, 0]) * 65.0 == pytest.approx(0.70494, rel=2e-4)


def test_pool_is_bounded_by_tray_and_depth() -> None:
    assert float(emission.pool_area(2.5e-3, largest_area=0.2, depth=2e-3)) == 0.2
    assert float(emission.pool_area(1e-4, largest_area=0.2, depth=2e-3)) == pytest.approx(0.05)


def test_plastic_wall_is_of_the_order_of_the_fuel_can_limits() -> None:
    # 40 CFR 59.611(a): 0.3 g/(gal·day), 0.079 g/(L·day), for fuel; ADR 6.1.5: 0.008 g/(L·h), 0.19 g/(L·day)
    # (from memory). Toluene 3.2 kPa at 22 °C in 1 L: the median within a factor of 3 of the former, the
    # upper end above the latter.
    ends = interval("wall", "solvent")
    day = {
        name: float(
            emission.wall_rate(3200.0, wall_conductance=getattr(ends, name), volume=1e-3, temperature=295.15)
        )
        * 92.14
        * 86400
        for name in ("p50", "p95")
    }
    assert 0.079 / 3 < day["p50"] < 0.079 * 3
    assert day["p95"] > 0.19


def test_neck_bores() -> None:
    # common practice, no source: the mouth of a 2.5 L bottle is about 28 mm, of 100 mL between 10 and 18 mm
    assert float(neck_bore(2.5e-3)) == pytest.approx(0.028)
    assert 0.010 < float(neck_bore(1e-4)) < 0.018


def test_every_interval_is_in_order_and_has_a_source() -> None:
    for table, rows in intervals().items():
        for name, row in rows.items():
            assert 0 < row.p05 <= row.p50 <= row.p95, (table, name)
            assert cite(row.source).title, (table, name)
