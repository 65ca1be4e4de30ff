"""Visits and visibility: published ionisation energies, and common practice where marked."""

import datetime

import pytest

from stillroom.errors import InputError
from stillroom.monitoring import (
    HANDHELD,
    LAMPS,
    LOW_RANGE,
    USUAL_RESPONSE,
    all_lamps,
    check_point,
    next_visit,
    visibility,
)

DAY = datetime.date(2026, 1, 1)


def test_half_the_cautious_life() -> None:
    visit = next_visit(date=DAY, cautious_life_days=101.0)
    assert visit.interval_days == 50.0  # 50.5, rounded down: never after the rule's day
    assert visit.next_visit == datetime.date(2026, 2, 20)
    assert "50%" in visit.rule


def test_six_months_at_most() -> None:
    for life in (365.0, 10_000.0, None):
        visit = next_visit(date=DAY, cautious_life_days=life)
        assert visit.interval_days == 182.0
        assert "longest" in visit.rule


def test_both_numbers_can_be_changed() -> None:
    assert next_visit(date=DAY, cautious_life_days=90.0, fraction=1 / 3).interval_days == 30.0
    assert next_visit(date=DAY, cautious_life_days=None, longest_days=91.0).interval_days == 91.0


def test_a_life_of_days_is_said() -> None:
    visit = next_visit(date=DAY, cautious_life_days=3.0)
    assert visit.interval_days == 1.0
    assert "cannot be watched" in visit.rule
    assert next_visit(date=DAY, cautious_life_days=0.0).next_visit == DAY


@pytest.mark.parametrize(
    "wrong",
    [
        {"cautious_life_days": -1.0},
        {"cautious_life_days": float("nan")},
        {"cautious_life_days": float("inf")},
        {"cautious_life_days": 10.0, "fraction": 0.0},
        {"cautious_life_days": 10.0, "fraction": 1.5},
        {"cautious_life_days": 10.0, "longest_days": 0.0},
    ],
)
def test_nonsense_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(InputError):
        next_visit(date=DAY, **wrong)


@pytest.mark.parametrize(
    ("cas", "seen"),
    # Ionisation energies of the NIOSH Pocket Guide against the lamps 10.0, 10.6, 11.7 eV.
    [
        ("108-88-3", (True, True, True)),  # toluene 8.82
        ("64-17-5", (False, True, True)),  # ethanol 10.47
        ("67-56-1", (False, False, True)),  # methanol 10.84
        ("75-05-8", (False, False, False)),  # acetonitrile 12.20
        ("75-09-2", (False, False, True)),  # dichloromethane 11.32
        ("50-00-0", (False, False, True)),  # formaldehyde 10.88
        ("7664-41-7", (False, True, True)),  # ammonia 10.07 (NIST, evaluated)
        ("64-19-7", (False, False, True)),  # acetic acid 10.66
        ("108-24-7", (None, True, True)),  # acetic anhydride 10.00: at the lamp
        ("111-30-8", (None, None, None)),  # glutaraldehyde: no value
    ],
)
def test_what_each_lamp_sees(cas: str, seen: tuple[bool | None, ...]) -> None:
    found = all_lamps(cas, limit_ppm=50.0)
    assert tuple(each.lamp_eV for each in found) == LAMPS
    assert tuple(each.sees for each in found) == seen


def test_near_the_lamp_is_called_weak() -> None:
    # hydrogen peroxide 10.54 eV against 10.6: within 0.1 eV
    assert "weakly" in visibility("7722-84-1", limit_ppm=1.0, lamp_eV=10.6).words


def test_no_handheld_sees_one_percent_of_the_benzene_limit() -> None:
    # common practice, no source; OSHA 1 ppm, so 0.01 ppm in the exhaust
    for response in (None, 0.5, USUAL_RESPONSE):
        found = visibility("71-43-2", limit_ppm=1.0, lamp_eV=10.6, response=response)
        assert found.sees is True
        assert found.sees_criterion is False
        assert "between the beds" in found.words


def test_a_ppb_instrument_may_or_may_not_read_it() -> None:
    found = visibility("71-43-2", limit_ppm=1.0, lamp_eV=10.6, response=0.5, detection=LOW_RANGE)
    assert found.sees_criterion is None


def test_unknown_never_gives_yes() -> None:
    # toluene 200 ppm: any handheld reads 2 ppm in the exhaust; without a response factor it is not said
    assert visibility("108-88-3", limit_ppm=200.0, lamp_eV=10.6).sees_criterion is None
    assert visibility("108-88-3", limit_ppm=200.0, lamp_eV=10.6, response=0.5).sees_criterion is True
    unknown = visibility("111-30-8", limit_ppm=1e5, lamp_eV=10.6, response=1.0)
    assert unknown.sees is None
    assert unknown.sees_criterion is None
    assert "because" in unknown.words


def test_unseen_is_never_read_whatever_the_limit() -> None:
    found = visibility("75-05-8", limit_ppm=1e6, lamp_eV=11.7, response=0.1)
    assert found.sees is False
    assert found.sees_criterion is False


def test_the_usual_response_is_not_assumed_at_the_lamps_edge() -> None:
    # hydrogen peroxide 10.54 eV against 10.6: the usual factors are those of vapours that the lamp sees well
    found = visibility("7722-84-1", limit_ppm=1e5, lamp_eV=10.6, response=USUAL_RESPONSE)
    assert found.sees_criterion is None


def test_no_limit_in_ppm() -> None:
    found = visibility("108-88-3", limit_ppm=None, lamp_eV=10.6)
    assert found.sees is True
    assert found.sees_criterion is None
    assert "no limit" in found.words


@pytest.mark.parametrize(
    "wrong",
    [
        {"limit_ppm": 0.0},
        {"limit_ppm": -5.0},
        {"limit_ppm": float("nan")},
        {"lamp_eV": 106.0},
        {"criterion_fraction": 1.0e2},
    ],
)
def test_wrong_numbers_are_refused(wrong: dict[str, float]) -> None:
    arguments = {"limit_ppm": 10.0, "lamp_eV": 10.6, **wrong}
    with pytest.raises(InputError):
        visibility("108-88-3", **arguments)


@pytest.mark.parametrize(
    ("cas", "family", "phase", "words"),
    # common practice, no source
    [
        ("7439-97-6", "", "liquid", "atomic absorption"),
        ("50-00-0", "formaldehyde", "gas", "electrochemical"),
        ("7664-41-7", "ammonia", "gas", "electrochemical"),
        ("7647-01-0", "acid gas", "gas", "electrochemical"),
        ("64-19-7", "acid gas", "liquid", "colorimetric tube"),
        ("7758-97-6", "", "solid", "photometer"),
        ("67-56-1", "", "liquid", "sorbent tube"),
        ("111-30-8", "", "liquid", "Do not count on"),
        ("91-20-3", "", "solid", "photometer"),
    ],
)
def test_check_point(cas: str, family: str, phase: str, words: str) -> None:
    assert words in check_point(cas, family=family, phase=phase, limit_ppm=10.0)


def test_check_point_in_the_exhaust_where_the_criterion_is_read() -> None:
    text = check_point("67-64-1", phase="liquid", limit_ppm=1000.0, response=1.1)
    assert text.startswith("Photoionisation detector, 10.6 eV lamp, in the exhaust")
    assert HANDHELD.p95 * 1.1 < 10.0  # 1 % of 1000 ppm
