"""Instruments as their pages keep them."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from django.urls import reverse

from stillroom.errors import InputError
from stillroom.records.models import Calibration, Event, Instrument
from stillroom.services.instruments import add_calibration, as_read, calibration_on, molar_mass

GIVEN = {
    "name": "Detector 8 (invented)", "kind": "photoionisation detector", "lamp": "10.6", "limit": "0,05 ppm",
    "substance_1": "toluene", "factor_1": "0.5", "source_1": "manual, page 9 (invented)",
}  # fmt: skip


def test_a_new_instrument_with_its_factors_and_sources(validator):
    response = validator.post(reverse("instrument-new"), GIVEN)
    row = Instrument.objects.get(name=GIVEN["name"])
    assert response["Location"] == reverse("instrument", args=[row.key])
    assert (row.lamp_eV, row.detection_limit_ppm) == (10.6, 0.05)
    (factor,) = row.response_factors
    assert (factor["cas"], factor["factor"], factor["source"]) == ("108-88-3", 0.5, GIVEN["source_1"])
    assert Event.objects.filter(action="instrument.created", subject=f"instrument:{row.key}").exists()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"source_1": ""}, "Enter where the factor of row 1 comes from"),
        ({"limit": "0"}, "Detection limit must be between"),
        ({"lamp": ""}, "Choose the lamp"),
        ({"name": "Detector 7 (invented)"}, "another instrument has this name"),
        ({"kind": "electrochemical cell", "substance_1": "", "factor_1": "", "source_1": ""}, "Enter the one substance"),
        ({"substance_2": "108-88-3", "factor_2": "0.6", "source_2": "x"}, "names a substance a second time"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_and_nothing_is_kept(validator, change, words):
    before = Instrument.objects.count()
    page = validator.post(reverse("instrument-new"), GIVEN | change).content.decode()
    assert words in page
    assert Instrument.objects.count() == before


def test_a_calibration_is_kept_and_falls_due_after_it_was_made(ours, validator):
    place = reverse("calibration", args=[ours.instrument.key])
    wrong = validator.post(place, {"on": "2026-11-01", "due": "2026-10-01", "by": "Ada"})
    assert "falls due before it was made" in wrong.content.decode()
    ambiguous = validator.post(place, {"on": "4/3/2026", "due": "2027-10-01", "by": "Ada"})
    assert "must be a date, like 2026-03-04" in ambiguous.content.decode()
    assert Calibration.objects.count() == 1
    validator.post(place, {"on": "1.11.2026", "due": "2027-11-01", "by": "Ada", "gas": "isobutylene"})
    assert calibration_on(ours.instrument, date(2026, 11, 2)).due == date(2027, 11, 1)


def test_a_lapsed_calibration_counts_as_none_and_says_so(ours):
    on_time, late = date(2027, 4, 1), date(2027, 4, 2)
    assert calibration_on(ours.instrument, on_time).words == ""
    assert as_read(ours.instrument, on_time).last_calibrated(on_time) == date(2026, 10, 1)
    assert "lapsed on 2027-04-01" in calibration_on(ours.instrument, late).words
    assert as_read(ours.instrument, late).last_calibrated(late) is None
    assert "No calibration" in calibration_on(ours.instrument, date(2026, 9, 1)).words


def test_what_a_scale_counts(ours):
    """Isobutylene C4H8: 4 × 12.011 + 8 × 1.008 = 56.108 g/mol; formaldehyde CH2O: 30.026 (IUPAC 2021 atomic weights)."""
    assert molar_mass(ours.instrument) == pytest.approx(56.108, abs=0.005)
    ours.instrument.kind = "electrochemical cell"
    ours.instrument.response_factors = [{"cas": "50-00-0", "factor": 1.0, "source": "manual"}]
    assert molar_mass(ours.instrument) == pytest.approx(30.026, abs=0.005)
    assert as_read(ours.instrument, date(2026, 11, 1)).target_cas == "50-00-0"


def test_a_calibration_cannot_fall_due_before_itself(ours):
    with pytest.raises(InputError):
        add_calibration(
            ours.instrument,
            ours.people["owner"],
            on=date(2026, 1, 2),
            due=date(2026, 1, 2),
            by="Ada",
        )


def test_who_is_ahead_of_the_servers_clock_may_say_today(monkeypatch):
    """19:00 UTC on the 25th is 03:00 on the 26th in Kuala Lumpur (UTC+8)."""
    from django import forms

    from stillroom.web.shared import when

    now = datetime(2026, 11, 25, 19, tzinfo=UTC)
    monkeypatch.setattr(when.timezone, "now", lambda: now)
    field = when.DateField(label="Day", latest_today=True)
    assert field.clean("2026-11-26") == date(2026, 11, 26)
    with pytest.raises(forms.ValidationError, match="lies in the future"):
        field.clean("2026-11-27")
    moment = when.MomentField(label="Measured", latest_today=True).clean("2026-11-26T03:00")
    assert moment.date() == date(2026, 11, 26)
