"""Who may borrow a limit. The one for nuisance dust: only solids known to be of low toxicity; no data is not low toxicity.
The strictest band's (NIOSH publication 2019-132): other solids without vapour, and never without a condition.
"""

from __future__ import annotations

import pytest

from assessment.invented import answer, bottle, reasons


@pytest.mark.parametrize(
    ("cas", "why"),
    [
        ("62-56-6", "thiourea: suspected of causing cancer, Regulation (EC) 1272/2008 Annex VI"),
        ("7775-14-6", "sodium dithionite: self-heating, UN 1384, class 4.2 of 49 CFR 172.101"),
        ("66-71-7", "1,10-phenanthroline: toxic if swallowed, Regulation (EC) 1272/2008 Annex VI"),
    ],
)
def test_what_is_not_known_to_be_harmless_never_borrows_the_limit_of_nuisance_dust(
    cas: str, why: str
) -> None:
    result = answer(bottle(2, cas, 0.02, state="solid"))
    assert result.verdict != "approved", why
    assert "nuisance dust" not in reasons(result, cas), why
    subject = next(item.subject for item in result.subjects if item.subject.cas == cas)
    # Band E for particles is 0.01 mg/m³ and less: that is the most that any of these is given.
    assert subject.criterion is None or subject.criterion.value <= 0.01, why


def test_the_band_is_never_a_plain_approval_and_asks_for_the_safety_data_sheet() -> None:
    result = answer(bottle(2, "7681-11-0", 0.1, state="solid"))  # potassium iodide: in no list of limits
    assert result.verdict == "approved with conditions"
    assert any("section 8" in words and "H330" in words for words in result.conditions)
    assert "strictest band" in reasons(result, "7681-11-0")


def test_a_large_jar_of_an_unjudged_powder_still_fails_its_spill() -> None:
    result = answer(bottle(2, "7681-11-0", 20.0, state="solid"))
    assert result.verdict == "not approved"


@pytest.mark.parametrize(
    ("cas", "why"),
    [
        ("67-68-5", "dimethyl sulfoxide is a liquid with a vapour"),
        ("91-22-5", "quinoline is a liquid with a vapour"),
        ("26628-22-8", "sodium azide is toxic (UN 1687, class 6.1 of 49 CFR 172.101)"),
    ],
)
def test_liquids_and_poisons_borrow_nothing(cas: str, why: str) -> None:
    result = answer(bottle(2, cas, 0.02))
    subject = next(item.subject for item in result.subjects if item.subject.cas == cas)
    assert subject.surrogate is None, why


@pytest.mark.parametrize("cas", ["7647-14-5", "57-50-1", "471-34-1"])
def test_salt_sugar_and_chalk_do(cas: str) -> None:
    """Common practice, no source: table salt, sugar and chalk are nuisance dusts."""
    assert answer(bottle(2, cas, 0.5, state="solid")).verdict == "approved"


@pytest.mark.parametrize("cas", ["60-00-4", "139-33-3", "6381-92-6"])
def test_a_salt_whose_phase_is_not_known_is_taken_as_a_powder(cas: str) -> None:
    """EDTA and its disodium salt are powders (any handbook); where the tables do not say so they are no liquid without a limit."""
    result = answer(bottle(2, cas, 0.1, state="solid"))
    assert result.verdict != "approved"
    assert "none is needed" not in reasons(result, cas)


def test_a_liquid_without_vapour_and_limit_needs_none() -> None:
    """Triolein: an oil without vapour (common knowledge), and without a limit in OSHA's list; nothing of it reaches the air."""
    result = answer(bottle(2, "122-32-7", 0.5e-3), place=room_without_limits())
    assert "none is needed" in reasons(result, "122-32-7")


def room_without_limits():
    from assessment.invented import room

    return room(limits={"lists": ["osha-z1"]})
