"""A limit that the user enters: slips of the unit are caught, and nothing else stands in the way."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import InputError
from stillroom.substances import limits
from stillroom.substances.limits import NeedsConfirmation, by_hand
from stillroom.substances.limits.compare import molar_mass


@pytest.fixture(scope="module", autouse=True)
def _packages_loaded() -> None:
    """First look-ups import the chemistry package and its rare substances (0.7 s)."""
    molar_mass("101-14-4")
    limits.of("67-64-1", "ontario")


def test_ppb_entered_as_ppm_asks() -> None:
    """Formaldehyde 750 ppb entered as 750 ppm; nearest of the lists is EH40's 2 ppm."""
    with pytest.raises(NeedsConfirmation) as caught:
        by_hand(cas="50-00-0", value=750, unit="ppm", basis="TWA", source_words="safety data sheet")
    assert "750 ppm" in str(caught.value)
    assert "2 ppm" in str(caught.value)
    assert "ppb" in str(caught.value)
    assert isinstance(caught.value, InputError)


def test_confirmed_is_taken_and_the_note_says_so() -> None:
    limit = by_hand(
        cas="50-00-0", value=750, unit="ppm", basis="TWA", source_words="safety data sheet", confirmed=True
    )
    assert limit.value == 750
    assert "confirmed by the user" in limit.note
    assert (limit.list, limit.source, limit.locator) == ("by-hand", "user", "safety data sheet")


def test_too_low_by_a_thousand_asks() -> None:
    with pytest.raises(NeedsConfirmation, match="too low"):
        by_hand(cas="67-64-1", value=0.5, unit="ppm", basis="TWA", source_words="site rule")


def test_other_unit_is_compared_by_molar_mass() -> None:
    """Acetone 1210 mg/m³ is EH40's 500 ppm; entered as µg/m³ it is a thousand times too high."""
    assert by_hand(cas="67-64-1", value=1210, unit="mg/m3", basis="TWA", source_words="EH40").value == 1210
    with pytest.raises(NeedsConfirmation):
        by_hand(cas="67-64-1", value=1_210_000, unit="mg/m3", basis="TWA", source_words="EH40")


def test_an_unknown_substance_is_taken_with_a_note() -> None:
    limit = by_hand(cas="50-99-7", value=10, unit="mg/m3", basis="TWA", source_words="site rule")  # glucose
    assert "nothing could be compared" in limit.note


def test_a_basis_that_no_list_has_is_compared_with_the_others() -> None:
    """Glycerol mist has TWA only (OSHA 15 and 5 mg/m³, EH40 10 mg/m³)."""
    limit = by_hand(cas="56-81-5", value=20, unit="mg/m3", basis="STEL", source_words="site rule")
    assert "no list has a STEL" in limit.note
    with pytest.raises(NeedsConfirmation):
        by_hand(cas="56-81-5", value=20000, unit="mg/m3", basis="STEL", source_words="site rule")


def test_as_x_is_compared_as_mass_of_the_substance() -> None:
    """Potassium dichromate: OSHA 0.005 mg/m³ as Cr(VI) is 0.0141 mg/m³ of it; NIOSH 0.0002 is 0.00057."""
    assert by_hand(cas="7778-50-9", value=0.0141, unit="mg/m3", basis="TWA", source_words="site rule").note
    with pytest.raises(NeedsConfirmation):
        by_hand(cas="7778-50-9", value=14.1, unit="mg/m3", basis="TWA", source_words="µg typed as mg")


def test_all_wrong_fields_at_once() -> None:
    with pytest.raises(InputError) as caught:
        by_hand(cas="67-64-2", value=math.nan, unit="ppb", basis="8 h", source_words=" ")
    assert {problem.column for problem in caught.value.problems} == {
        "cas",
        "value",
        "unit",
        "basis",
        "source",
    }


@pytest.mark.parametrize("value", [0.0, -1.0, math.inf, math.nan])
def test_no_number_that_is_none(value: float) -> None:
    with pytest.raises(InputError, match="above zero"):
        by_hand(cas="67-64-1", value=value, unit="ppm", basis="TWA", source_words="x")


@given(st.floats(min_value=1e-6, max_value=1e9))
def test_the_threshold_is_a_factor_of_a_hundred_from_every_list(value: float) -> None:
    """Acetone, TWA in ppm: OSHA 1000, NIOSH 250, EH40 500, Ontario 500; asked beyond 2.5 and 100 000."""
    inside = 2.5 * (1 + 1e-6) < value < 100_000 * (1 - 1e-6)
    outside = value < 2.5 * (1 - 1e-6) or value > 100_000 * (1 + 1e-6)
    try:
        limit = by_hand(cas="67-64-1", value=value, unit="ppm", basis="TWA", source_words="x")
    except NeedsConfirmation:
        assert not inside
    else:
        assert not outside
        assert limit.value == value


@pytest.mark.parametrize("value", [2.5, 100_000.0])
def test_exactly_a_hundred_asks(value: float) -> None:
    with pytest.raises(NeedsConfirmation):
        by_hand(cas="67-64-1", value=value, unit="ppm", basis="TWA", source_words="x")


def test_every_printed_limit_passes_when_entered_as_printed() -> None:
    for cas in ("67-64-1", "50-00-0", "108-88-3", "7664-93-9", "7647-01-0", "7439-97-6", "85-44-9"):
        for item in limits.lists():
            for limit in limits.of(cas, item.key):
                by_hand(
                    cas=cas, value=limit.value, unit=limit.unit, basis=limit.basis, source_words=item.title
                )
