"""Who may borrow the limit for nuisance dust: only solids known to be of low toxicity; no data is not low toxicity."""

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
def test_what_is_not_known_to_be_harmless_borrows_nothing(cas: str, why: str) -> None:
    result = answer(bottle(2, cas, 0.1, state="solid"))
    assert result.verdict == "not approved", why
    assert "nuisance dust" not in reasons(result, cas), why


@pytest.mark.parametrize("cas", ["7647-14-5", "57-50-1", "471-34-1"])
def test_salt_sugar_and_chalk_do(cas: str) -> None:
    """Common practice, no source: table salt, sugar and chalk are nuisance dusts."""
    assert answer(bottle(2, cas, 0.5, state="solid")).verdict == "approved"
