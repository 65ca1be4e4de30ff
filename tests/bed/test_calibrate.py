"""A certificate narrows a medium, as far as it can and no further."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from stillroom import media
from stillroom.bed.calibrate import calibrated
from stillroom.errors import InputError
from stillroom.media.certificate import parse_certificate
from stillroom.media.model import Impregnation, Interval

AMMONIA, TOLUENE = "7664-41-7", "108-88-3"
TEST = {
    "cas": AMMONIA, "inlet_ppm": 50.0, "relative_humidity": 0.5, "temperature_C": 23.0, "flow_L_min": 1.0, "mass_g": 100.0,
    "area_cm2": 20.0, "ends_at": 0.5, "held_g": 2.9, "uncertainty_percent": 10.0, "standard": "ISO 10121-1",
    "laboratory": "invented", "date": date(2026, 3, 1),
}  # fmt: skip


def certificate(**changes: object):
    told = {**TEST, **changes}
    return parse_certificate(
        {key: value for key, value in told.items() if value is not None}, file="certificate.toml"
    )


def spread(interval: Interval) -> float:
    return float(np.log(interval.p95 / interval.p05) / (2.0 * 1.6449))


def test_a_slow_deep_sample_is_bayes_rule_on_normals():
    """Where the sample takes all that it can, held is its capacity: of two normal logarithms, ours and the test's, the
    precisions add and the mean is theirs (any textbook of statistics, as Gelman et al., Bayesian Data Analysis, 2.5)."""
    medium = media.load("impregnated-ammonia")
    prior = Impregnation("ammonia", AMMONIA, Interval(0.02, 0.03, 0.045))
    one = certificate(flow_L_min=0.05)  # a thousand transfer units
    (after,) = calibrated(replace(medium, impregnations=(prior,)), one).impregnations
    own, test = np.log(0.045 / 0.02) / (2.0 * 1.6449), np.hypot(0.10 / 1.96, 0.10)
    weight = own**2 / (own**2 + test**2)
    assert np.log(after.capacity.p50) == pytest.approx(
        (1.0 - weight) * np.log(0.03) + weight * np.log(2.9 / 100.0), abs=0.01
    )
    assert spread(after.capacity) == pytest.approx(own * test / np.hypot(own, test), rel=0.05)


def test_what_a_short_test_leaves_unknown_stays_wide():
    """A few transfer units: the outlet is there long before the stock is used up, and how fast it reacts is not known."""
    medium = media.load("impregnated-ammonia")
    (slow,) = calibrated(medium, certificate(flow_L_min=1.0)).impregnations
    (fast,) = calibrated(medium, certificate(flow_L_min=60.0, ends_at=0.01, held_g=1.2)).impregnations
    assert spread(slow.capacity) < 0.7 * spread(fast.capacity) < spread(medium.impregnations[0].capacity)
    assert fast.capacity.p05 >= 0.012 * 0.8  # no less than was held, but for the uncertainty


def test_a_vapour_that_adsorbs_tells_pore_volume_and_energy():
    medium = media.load("generic")
    told = certificate(cas=TOLUENE, relative_humidity=0.0, held_g=20.0)
    after = calibrated(medium, told)
    assert spread(after.micropore_volume) < spread(medium.micropore_volume)
    assert after.impregnations == medium.impregnations
    assert after.bulk_density == medium.bulk_density
    less = calibrated(medium, certificate(cas=TOLUENE, relative_humidity=0.0, held_g=14.0))
    assert less.micropore_volume.p50 < after.micropore_volume.p50


def test_the_truth_lies_in_nine_of_ten_intervals():
    """Hidden capacities from the medium's own interval, each with a test of a capacity so and a measurement so wrong."""
    medium = media.load("impregnated-ammonia")
    (prior,) = medium.impregnations
    rng, inside, truths = np.random.default_rng(8), 0, 60
    for _ in range(truths):
        deviate = rng.standard_normal()
        end = prior.capacity.p95 if deviate > 0.0 else prior.capacity.p05
        truth = prior.capacity.p50 * (end / prior.capacity.p50) ** (abs(deviate) / 1.6449)
        measured = truth * 100.0 * np.exp(rng.normal(0.0, np.hypot(0.10 / 1.96, 0.10)))
        try:
            (after,) = calibrated(medium, certificate(flow_L_min=0.1, held_g=measured)).impregnations
        except InputError:
            continue  # one in a hundred lies beyond what the file allows, and is told so
        inside += after.capacity.p05 <= truth <= after.capacity.p95
    assert 0.80 <= inside / truths <= 0.98


def test_a_test_that_the_medium_cannot_have_passed_is_refused():
    with pytest.raises(InputError, match="wrong unit"):
        calibrated(media.load("impregnated-ammonia"), certificate(held_g=29.0))
    with pytest.raises(InputError, match="no impregnation for ammonia"):
        calibrated(media.load("generic"), certificate())


def test_time_instead_of_grams():
    """50 ppm of ammonia at 1 L/min and 23 °C are 2.06 mg/h by the gas law: 1400 h for what the other certificate held,
    if little passes until the end."""
    medium = media.load("impregnated-ammonia")
    grams_an_hour = 50e-6 * 101325.0 / (8.314462618 * 296.15) * 0.06 * 17.03
    (by_time,) = calibrated(
        medium, certificate(held_g=None, time_min=60.0 * 2.9 / grams_an_hour, flow_L_min=1.0)
    ).impregnations
    (by_grams,) = calibrated(medium, certificate(flow_L_min=1.0)).impregnations
    assert by_time.capacity.p50 == pytest.approx(by_grams.capacity.p50, rel=0.03)


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"cas": "7664-41-8"}, "cas"),
        ({"ends_at": 5}, "ends_at"),
        ({"relative_humidity": 50}, "relative_humidity"),
        ({"time_min": 10.0}, ""),
        ({"laboratory": None}, "laboratory"),
        ({"grams": 1}, "grams"),
    ],
)
def test_faults_of_a_certificate(changes, key):
    with pytest.raises(InputError) as caught:
        certificate(**changes)
    assert any(key in problem.column for problem in caught.value.problems)


def test_humidity_of_an_impregnation():
    """Half as much in dry air, told by the medium's file: a test in dry air then says twice as much for humid."""
    medium = media.load("impregnated-ammonia")
    (item,) = medium.impregnations
    humid = replace(medium, impregnations=(replace(item, at_humidity=((0.0, 0.5), (0.4, 1.0))),))
    dry = certificate(relative_humidity=0.0, held_g=1.5)
    (plain,) = calibrated(medium, dry).impregnations
    (by_factor,) = calibrated(humid, dry).impregnations
    assert by_factor.capacity.p50 / plain.capacity.p50 == pytest.approx(1.9, abs=0.2)
