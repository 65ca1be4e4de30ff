"""Pore volume from a certificate."""

from __future__ import annotations

import pytest

from media.files import medium_file
from stillroom import media
from stillroom.errors import InputError
from stillroom.media.activity import BUTANE, TETRACHLORIDE, from_activity
from stillroom.substances import properties


def test_the_two_tests_agree_as_their_standards_do():
    """ASTM D5742, from memory: carbon tetrachloride activity is 2.52 times butane activity; pores that fill alike give 2.76."""
    butane, chloride = from_activity(24.0, BUTANE), from_activity(24.0 * 2.52, TETRACHLORIDE)
    assert chloride.p50 == pytest.approx(butane.p50, rel=0.12)
    assert chloride.p05 < butane.p50 < chloride.p95 * 1.1


def test_densities_are_those_of_the_liquids():
    """Within 1 % of what the tables of properties say at 25 °C."""
    for cas, test in (("56-23-5", TETRACHLORIDE), ("106-97-8", BUTANE)):
        assert properties(cas, temperature=298.15).liquid_density.value == pytest.approx(
            test.density * 1e3, rel=0.01
        )


def test_usual_carbons_come_out_usual():
    """Common practice, no source: filter carbons of 50 to 70 % have 0.3 to 0.5 cm³/g."""
    for percent in (50.0, 60.0, 70.0):
        assert 0.28 < from_activity(percent, TETRACHLORIDE).p50 < 0.5


@pytest.mark.parametrize("key", ["ctc_activity_percent = 60", "butane_activity_percent = 24"])
def test_a_file_may_tell_it(key):
    medium = media.parse(medium_file(key, volume=""), file="ours.toml")
    assert 0.3 < medium.micropore_volume.p05 < medium.micropore_volume.p50 < medium.micropore_volume.p95 < 0.5
    assert "activity" in medium.micropore_volume.note


@pytest.mark.parametrize(
    ("key", "says"),
    [
        ("", "give one of"),
        ("ctc_activity_percent = 60\nbutane_activity_percent = 24", "give one of"),
        ("ctc_activity_percent = 0.6", "greater than or equal to 10"),
    ],
)
def test_none_two_or_a_slip_of_unit_is_refused(key, says):
    with pytest.raises(InputError, match=says):
        media.parse(medium_file(key, volume=""), file="ours.toml")
