"""Instruments and readings: units, responses, what a lamp sees, refusals."""

import datetime

import numpy as np
import pytest
from scipy import stats

from stillroom.errors import InputError
from stillroom.monitoring.expected import DISCREPANCY, draw_nuisance, error_of, response_interval
from stillroom.monitoring.instruments import USUAL_RESPONSE
from stillroom.monitoring.readings import (
    Instrument,
    InstrumentErrors,
    Reading,
    Response,
    ppm_of,
    value_in_ppm,
)

DAY = datetime.date(2026, 3, 1)


def instrument(key: str = "a", **more: object) -> Instrument:
    return Instrument(key, "invented", 0.01, calibrated=(DAY,), **more)  # type: ignore[arg-type]


def shown(device: Instrument, cas: str, *, days: int = 0, size: int = 20_000) -> np.ndarray:
    """What it shows for 1 ppm, without the error of the moment."""
    reading = Reading("cabinet", DAY + datetime.timedelta(days=days), device)
    nuisance = draw_nuisance([reading], [cas], rng=np.random.default_rng(1), size=size, copies=1)
    return nuisance.shown(np.ones((1, 1, size)))[0, 0]


def test_units_of_an_instrument() -> None:
    # molar volume 24.465 L/mol at 25 °C and 101325 Pa (NIOSH Pocket Guide: 24.45); isobutylene 56.11 g/mol
    assert ppm_of(1.0, "mg/m³") == pytest.approx(24.465 / 56.11, rel=1e-4)
    assert ppm_of(250.0, "ppb") == pytest.approx(0.25, rel=1e-12)
    assert ppm_of(1000.0, "µg/m3", molar_mass_g_mol=92.14) == pytest.approx(24.465 / 92.14, rel=1e-4)
    with pytest.raises(InputError, match="unit"):
        ppm_of(1.0, "mg/l")


def test_values_as_typed() -> None:
    assert value_in_ppm("0,12") == (0.12, False)
    assert value_in_ppm("<0.05") == (0.05, True)
    with pytest.raises(InputError):
        value_in_ppm("over range")


def test_a_published_factor_divides() -> None:
    # reading = concentration / factor; 90 % within the stated factor, gain and discrepancy besides
    values = shown(instrument(responses={"108-88-3": Response(0.5, within=1.25)}), "108-88-3")
    assert np.median(values) == pytest.approx(2.0, rel=0.01)
    width = np.sqrt((np.log(1.25) / 1.645) ** 2 + 0.05**2 + DISCREPANCY["cabinet"].lasting ** 2)
    assert np.std(np.log(values)) == pytest.approx(width, rel=0.03)


def test_no_published_factor_is_an_interval_and_never_one() -> None:
    values = shown(instrument(), "108-88-3")
    low, high = np.quantile(values, (0.05, 0.95))
    assert low < 1.0 / USUAL_RESPONSE.p95 * 1.3
    assert high > 1.0 / USUAL_RESPONSE.p05 * 0.8
    assert np.unique(values).size == values.size


@pytest.mark.parametrize(
    ("cas", "lamp", "seen"),
    # ionisation energies of the NIOSH Pocket Guide: methanol 10.84, dichloromethane 11.32, toluene 8.82 eV
    [
        ("67-56-1", 10.6, 0.0),
        ("75-09-2", 10.6, 0.0),
        ("75-09-2", 11.7, 1.0),
        ("108-88-3", 10.6, 1.0),
        ("111-30-8", 10.6, 0.5),
    ],
)
def test_what_a_lamp_sees(cas: str, lamp: float, seen: float) -> None:
    assert response_interval(lamp, cas)[1] == seen
    assert (shown(instrument(lamp_eV=lamp), cas) > 0.0).mean() == pytest.approx(seen, abs=0.02)


def test_near_the_lamp_the_factor_is_larger() -> None:
    near = response_interval(10.6, "7722-84-1")[0]  # hydrogen peroxide 10.54 eV
    assert near is not None and near.p50 > USUAL_RESPONSE.p50


def test_an_instrument_for_one_substance_sees_no_other() -> None:
    tube = Instrument("t", "invented tube", 0.1, target_cas="50-00-0", calibrated=(DAY,))
    assert np.median(shown(tube, "50-00-0")) == pytest.approx(1.0, rel=0.02)
    assert not shown(tube, "108-88-3").any()


def test_the_gain_is_one_between_calibrations_and_widens() -> None:
    device = instrument(target_cas="x", errors=InstrumentErrors(calibration=0.05, drift_per_month=0.1))
    days = [DAY + datetime.timedelta(days=number) for number in (0, 0, 90)]
    readings = [
        Reading(point, day, device) for point, day in zip(("cabinet", "room", "cabinet"), days, strict=True)
    ]
    factor = draw_nuisance(readings, ["x"], rng=np.random.default_rng(2), size=50_000, copies=1).factor[:, 0]
    logs = np.log(factor)
    early, lasting = np.hypot(0.05, 0.0), DISCREPANCY["cabinet"].lasting
    late = np.hypot(0.05, 0.3)
    assert np.std(logs[0]) == pytest.approx(np.hypot(early, lasting), rel=0.02)
    assert np.std(logs[2]) == pytest.approx(np.hypot(late, lasting), rel=0.02)
    # shared: covariance of two visits at one point, and of two points on one day
    assert np.cov(logs[0], logs[2])[0, 1] == pytest.approx(early * late + lasting**2, rel=0.05)
    assert np.cov(logs[0], logs[1])[0, 1] == pytest.approx(early**2, abs=0.001)


def test_a_calibration_after_the_reading_does_not_count() -> None:
    device = Instrument("a", "invented", 0.01, target_cas="x", calibrated=(DAY + datetime.timedelta(days=1),))
    assert device.last_calibrated(DAY) is None
    wide = np.std(np.log(shown(device, "x")))
    assert wide == pytest.approx(
        np.hypot(InstrumentErrors().never_calibrated, DISCREPANCY["cabinet"].lasting), rel=0.03
    )


def test_the_blank_is_curries_limit() -> None:
    # Currie, Anal. Chem. 40:586 (1968): detection limit = 3.29 standard deviations of a blank at 5 % each way
    reading = Reading(
        "exhaust", DAY, Instrument("a", "invented", 0.0329, errors=InstrumentErrors(zero_ppm=0.0))
    )
    assert error_of(reading)[1] == pytest.approx(0.01, rel=1e-12)
    assert 2 * stats.norm.ppf(0.95) == pytest.approx(3.29, abs=0.005)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Instrument("a", "b", 0.0),
        lambda: Instrument("a", "b", 0.01, lamp_eV=106.0),
        lambda: Instrument("a", "b", 0.01, responses={"108-88-3": Response(0.0)}),
        lambda: Reading("outside", DAY, instrument()),
        lambda: Reading("room", DAY, instrument(), float("nan")),
        lambda: Reading("room", DAY, instrument(), 0.1, detection_limit_ppm=-1.0),
    ],
)
def test_nonsense_is_refused(wrong: object) -> None:
    with pytest.raises(InputError):
        wrong()  # type: ignore[operator]
