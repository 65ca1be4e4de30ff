"""The break of a bottle while the fan stands still: comparable liquids are treated alike."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from scipy.stats import binom

from assessment.invented import LITRE, answer, bottle, room
from stillroom.assessment.checks.fire import spill_with_fan_stopped
from stillroom.assessment.result import Assessment
from stillroom.errors import InputError

# Closed-cup flash points [°C] of the NIOSH Pocket Guide (each page, "Fl.P"), where it has one; petroleum ether by
# supply classification (from memory). A room is at 22 °C.
FLASH_C = {
    "60-29-7": -45,  # diethyl ether
    "109-66-0": -49,  # n-pentane
    "75-15-0": -30,  # carbon disulfide
    "1634-04-4": -28,  # methyl tert-butyl ether (from memory)
    "108-20-3": -28,  # diisopropyl ether
    "110-54-3": -22,  # n-hexane
    "8032-32-4": -40,  # petroleum ether (from memory)
    "67-64-1": -18,  # acetone
    "110-82-7": -18,  # cyclohexane
    "109-99-9": -14,  # tetrahydrofuran
    "71-43-2": -11,  # benzene
    "78-93-3": -9,  # 2-butanone
    "141-78-6": -4,  # ethyl acetate
    "142-82-5": -4,  # n-heptane
    "108-88-3": 4,  # toluene
    "75-05-8": 6,  # acetonitrile
    "67-56-1": 11,  # methanol
    "67-63-0": 12,  # 2-propanol
    "64-17-5": 13,  # ethanol
    "123-91-1": 13,  # 1,4-dioxane
    "71-36-3": 29,  # 1-butanol
    "8052-41-3": 39,  # white spirit
    "64-19-7": 39,  # acetic acid
    "68-12-2": 58,  # N,N-dimethylformamide
}
NOTHING, WORDS, CONDITION, REFUSED = range(4)


@cache
def found(cas: str, litres: float = 2.5, response: float | None = None) -> Assessment:
    rules = {} if response is None else {"response_minutes": response}
    return answer(bottle(2, cas, litres * LITRE), place=room(rules=rules))


def cautious(values: np.ndarray) -> float:
    """Upper bound of the 95 % point: the mirror of the largest rank that scipy's binomial allows at 5 %."""
    return float(np.sort(values)[-int(binom.ppf(0.05, values.size, 0.05))])


def fire(result: Assessment) -> tuple[float, int]:
    """95 % end of the fraction of the lower flammable limit with the fan stopped, and how grave the answer is."""
    item = result.subjects[0]
    assert item.spill is not None and item.spill.flammable is not None
    assert (
        item.spill.flammable_stopped is not None
        and item.spill.flammable_stopped.shape == item.spill.flammable.shape
    )
    reached = cautious(item.spill.flammable_stopped)
    if cautious(item.spill.flammable) > result.case.room.rules.lfl_fraction:
        return reached, REFUSED
    words, condition = spill_with_fan_stopped(item.subject, item.spill, result.case)
    return reached, CONDITION if condition else WORDS if words else NOTHING


def test_nearer_to_the_flammable_limit_is_never_answered_more_mildly() -> None:
    answers = sorted(fire(found(cas)) for cas in FLASH_C)
    grave = [severity for _, severity in answers]
    assert grave == sorted(grave)
    assert set(grave) == {NOTHING, WORDS, CONDITION, REFUSED}


@pytest.mark.parametrize("cas", [cas for cas, flash in FLASH_C.items() if flash > 25])
def test_below_its_flash_point_no_liquid_makes_burnable_air(cas: str) -> None:
    """By the meaning of the flash point: saturated air under it is leaner than the lower flammable limit."""
    reached, grave = fire(found(cas))
    assert reached < 1.0
    assert grave <= WORDS


@pytest.mark.parametrize("cas", [cas for cas, flash in FLASH_C.items() if flash < -10])
def test_what_flashes_far_below_zero_needs_an_alarm_at_the_least(cas: str) -> None:
    """n-Hexane, acetone, cyclohexane and petroleum ether are stored side by side and asked for the same."""
    assert fire(found(cas))[1] >= CONDITION


def test_toluene_is_plainly_approved_and_ether_is_not() -> None:
    """What careful practitioners store without a word, and what they do not (common practice, no source)."""
    toluene = answer(bottle(2, "108-88-3", 2.5 * LITRE, 2))
    assert toluene.verdict == "approved" and toluene.conditions == ()
    assert found("60-29-7").verdict == "not approved"


def test_the_later_somebody_acts_the_graver() -> None:
    """Toluene fills the air of the cabinet too if nobody comes; a third of the clean-up time is the default."""
    times = (1.0, 5.0, 15.0)
    answers = [fire(found("108-88-3", response=minutes)) for minutes in times]
    assert answers == sorted(answers)
    assert answers[0][1] == NOTHING and answers[-1][1] == CONDITION
    assert answers[1] == fire(found("108-88-3"))


def test_the_condition_is_in_the_answer() -> None:
    result = found("110-82-7")
    assert result.verdict == "approved with conditions"
    assert any("a stopped fan raises an alarm" in words for words in result.conditions)


def test_a_small_bottle_of_the_same_liquid_needs_no_alarm() -> None:
    """5 mL of acetone, all of it vapour in the cabinet's air, 0.9 m³: 0.2 %, a tenth of its limit of 2.5 %."""
    reached, grave = fire(found("67-64-1", litres=0.005))
    assert reached == pytest.approx(
        5e-6 * 784 / 0.05808 / found("67-64-1").case.cabinet.air_volume / 41.3 / 0.025, rel=0.2
    )
    assert grave == NOTHING


def test_what_has_no_flash_point_is_no_flammable_liquid() -> None:
    """Dichloromethane: none by the usual tests (NIOSH Pocket Guide), though its vapour has a range in which it burns."""
    result = found("75-09-2", litres=0.5)
    assert fire(result)[1] == NOTHING
    assert not any("fan" in words for words in result.conditions)


def test_nobody_cleans_up_before_he_acts() -> None:
    with pytest.raises(InputError, match="longer than cleanup_minutes") as caught:
        room(rules={"cleanup_minutes": 10, "response_minutes": 11})
    assert [problem.column for problem in caught.value.problems] == ["rules.response_minutes"]
