"""Heat to condition outdoor air, against the handbook's worked examples.

Source: ASHRAE Handbook—Fundamentals (2009, SI), chapter 1 "Psychrometrics": example 1 (state of moist air from its wet bulb),
example 2 (sensible heating), example 3 (cooling and dehumidifying); the printed state points and results, from memory.
"""

from inspect import isfunction

import pytest

from stillroom.economics.conditioning import demand, moist_air

STANDARD = 101325.0


def test_state_of_moist_air_as_in_the_handbooks_example():
    # Example 1: 40 °C dry bulb, 20 °C wet bulb: W = 0.0065, h = 56.7 kJ/kg, v = 0.896 m³/kg, φ = 14 %.
    state = moist_air(40.0, 0.14, STANDARD)
    assert state.humidity_ratio == pytest.approx(0.0065, abs=1e-4)
    assert state.enthalpy == pytest.approx(56.7, abs=0.2)
    assert state.volume == pytest.approx(0.896, abs=1e-3)


def test_sensible_heating_as_in_the_handbooks_example():
    # Example 2: 10 m³/s of saturated air of 2 °C is heated to 40 °C: h 13.0 → 51.6 kJ/kg, v = 0.784 m³/kg, q = 490 kW.
    outdoor = moist_air(2.0, 1.0, STANDARD)
    warm = 0.0043 / 0.0474  # relative humidity at 40 °C with the same water: W over saturation, refined below
    for _ in range(50):
        warm *= outdoor.humidity_ratio / moist_air(40.0, warm, STANDARD).humidity_ratio
    need = demand((2.0, 1.0), (40.0, warm), pressure=STANDARD)
    assert 10.0 / outdoor.volume * need.heating == pytest.approx(490.0, rel=0.01)
    assert need.cooling == 0.0


def test_cooling_and_dehumidifying_as_in_the_handbooks_example():
    # Example 3: 5 m³/s of 30 °C, 50 % is cooled to saturation at 10 °C: h 64.3 → 29.5 kJ/kg,
    # W 0.0133 → 0.00766, condensate h_w = 42.11 kJ/kg, m = 5.70 kg/s, q = 197 kW.
    entering = moist_air(30.0, 0.5, STANDARD)
    need = demand((30.0, 0.5), (10.0, 1.0), pressure=STANDARD)
    assert 5.0 / entering.volume * need.cooling == pytest.approx(197.0, rel=0.01)


def test_two_legs_add_up_to_the_enthalpy_difference():
    out, room = (32.0, 0.7), (23.0, 0.5)
    need = demand(out, room, pressure=STANDARD)
    a, b = moist_air(*out, STANDARD), moist_air(*room, STANDARD)
    condensate = (a.humidity_ratio - b.humidity_ratio) * 4.186
    dew_point = 12.03  # ASHRAE's chart: 23 °C, 50 %
    assert need.cooling == pytest.approx(a.enthalpy - b.enthalpy - condensate * dew_point, rel=2e-3)


def test_reheating_adds_the_same_heat_twice():
    plain = demand((32.0, 0.7), (23.0, 0.5), pressure=STANDARD)
    again = demand((32.0, 0.7), (23.0, 0.5), pressure=STANDARD, reheats=True)
    assert again.heating == pytest.approx(again.cooling - plain.cooling)
    assert again.heating == pytest.approx(1.022 * (23.0 - 12.03), rel=0.01)


def test_dry_cold_air_is_humidified_only_where_asked():
    dry = demand((-5.0, 0.8), (21.0, 0.4), pressure=STANDARD)
    wet = demand((-5.0, 0.8), (21.0, 0.4), pressure=STANDARD, humidifies=True)
    assert dry.humidifying == 0.0
    assert wet.heating == dry.heating
    # Heat of vaporisation about 2501 kJ/kg at 0 °C (steam tables) for what is added.
    added = moist_air(21.0, 0.4, STANDARD).humidity_ratio - moist_air(-5.0, 0.8, STANDARD).humidity_ratio
    assert wet.humidifying == pytest.approx(added * (2501.0 + 1.86 * 21.0), rel=1e-3)


def test_the_same_state_needs_nothing():
    need = demand((22.0, 0.5), (22.0, 0.5), pressure=STANDARD, humidifies=True, reheats=True)
    assert need.cooling == pytest.approx(0.0, abs=1e-9)
    assert need.humidifying == pytest.approx(0.0, abs=1e-9)


def test_states_are_plain_python_whatever_else_is_installed():
    """Beside numba psychrolib would compile its functions at their first call, for minutes."""
    import numba  # noqa: F401 - it is there
    import psychrolib

    moist_air(25.0, 0.5, 101325.0)
    assert isfunction(psychrolib.GetMoistAirEnthalpy)
    assert isfunction(psychrolib.GetTDewPointFromHumRatio)
