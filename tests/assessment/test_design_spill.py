"""The design spill: what the room holds already, powder, stacks without a bed, and fuming solutions.

Expectations of verdicts are common practice, no source, unless another origin stands beside them.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from assessment.invented import LITRE, answer, bottle, cabinet, reasons, room
from stillroom.cabinet.design import Cabinet
from stillroom.cabinet.load import parse_cabinet, shipped_tables

METHANOL, BENZENE, HCL, AMMONIA, CHROMATE = "67-56-1", "71-43-2", "7647-01-0", "7664-41-7", "7758-97-6"
OSHA = {"lists": ["osha-z1", "osha-z2", "osha-substance"]}


def bare() -> Cabinet:
    return cabinet(bed=[])


def with_medium(name: str, kilograms: float) -> Cabinet:
    """8 kg of coconut carbon and `kilograms` of a characterised medium behind it."""
    tables = shipped_tables("full-height")
    tables["filters"]["bed"].append({"medium": name, "mass_kg": kilograms, "area_m2": 0.30})
    return parse_cabinet(tables)


def spill_of(result):
    spill = result.subjects[0].spill
    assert spill is not None
    return spill


def test_what_the_room_holds_already_is_counted_in() -> None:
    """100 mg/m³ of methanol, 32.04 g/mol, at 22 °C and 1013 hPa: 75.6 ppm, 0.3779 of OSHA's 200 ppm over eight hours."""
    held = {"cas": METHANOL, "mg_m3": 100.0, "uncertainty_factor": 1.05}
    clean, dirty = (
        answer(
            bottle(2, METHANOL, 0.1 * LITRE),
            house=bare(),
            place=room(limits={"lists": ["osha-z1"]}, background=background),
        )
        for background in ([], [held])
    )
    more = spill_of(dirty).twa[0] - spill_of(clean).twa[0]
    assert float(np.median(more)) == pytest.approx(0.3779, rel=0.01)  # stated within 5 %
    short = spill_of(dirty).short[0] - spill_of(clean).short[0]
    assert float(np.median(short)) == pytest.approx(0.3779 / 3.0, rel=0.01)
    assert "is counted in" in reasons(dirty, METHANOL) and "is counted in" not in reasons(clean, METHANOL)
    # the criterion of normal storage counts what the cabinet adds, and only that
    np.testing.assert_allclose(np.median(dirty.normal.fraction), np.median(clean.normal.fraction), rtol=0.2)


def test_a_stack_without_a_bed_says_so() -> None:
    result = answer(bottle(2, BENZENE, 0.1 * LITRE), house=bare())
    assert result.verdict == "not approved"
    assert "holds no adsorbent bed" in reasons(result, BENZENE)
    assert "holds no adsorbent bed" not in reasons(answer(bottle(2, BENZENE, 0.1 * LITRE)), BENZENE)
    spill = spill_of(result)
    np.testing.assert_allclose(spill.short[-1], spill.short_unfiltered, rtol=1e-6)


def test_the_dust_of_a_broken_jar_is_a_puff() -> None:
    """Arithmetic: worst 15-minute mean of a puff into a well-mixed room, M/V (1 − e^−λw)/(λw), λw = 1.5 at 6 air changes;
    the cabinet's 0.75 m³ are flushed in 13.5 s, which matters 1 %. Cleaning up sooner does not change it."""
    jar = bottle(2, CHROMATE, 0.25, state="solid")
    house = cabinet(particulate=None)  # all of it passes
    limit = 0.005 * 323.19 / 51.996  # as Cr(VI), 29 CFR 1910.1026; molar masses of PbCrO4 and Cr
    slow, fast = (
        spill_of(answer(jar, house=house, place=room(limits=OSHA, rules={"cleanup_minutes": t})))
        for t in (15.0, 5.0)
    )
    np.testing.assert_allclose(slow.short[0], fast.short[0], rtol=1e-6)  # the vapour, 1e-8 of it
    # DOE-HDBK-3010-94: bounding 2e-3 of powder that falls less than 3 m, our 95 % end
    mean = 0.25e6 * 2e-3 / 60.0 * (1.0 - np.exp(-1.5)) / 1.5
    assert float(np.quantile(slow.short[0], 0.95)) == pytest.approx(mean / (3.0 * limit), rel=0.3)


def test_lead_chromate_passes_by_osha_and_not_by_niosh() -> None:
    """250 g; 0.005 and 0.0002 mg/m³ of Cr(VI) (29 CFR 1910.1026; NIOSH Pocket Guide). The by-pass of the seal decides: with a
    stack that was leak-tested to 0.05 % it passes by both."""
    jar = bottle(2, CHROMATE, 0.25, state="solid")
    assert answer(jar, place=room(limits=OSHA)).verdict == "approved"
    niosh = room(limits={"lists": ["niosh-rel"]})
    assert answer(jar, place=niosh).verdict == "not approved"
    tested = cabinet(seal_bypass=[1e-5, 1e-4, 5e-4], seal_bypass_source="leak test in place")
    assert answer(jar, house=tested, place=niosh).verdict == "approved"


@pytest.mark.parametrize(
    ("cas", "strength", "amount", "medium"),
    [(HCL, 0.37, 2.5 * LITRE, "impregnated-acid-gas"), (AMMONIA, 0.25, LITRE, "impregnated-ammonia")],
)
def test_fuming_solutions_need_kilograms_of_their_medium_and_quick_hands(
    cas: str, strength: float, amount: float, medium: str
) -> None:
    held = bottle(2, cas, amount, state="solution", strength=strength)
    assert answer(held).verdict == "not approved"
    assert answer(held, house=with_medium(medium, 4.0)).verdict == "not approved"
    enough = answer(held, house=with_medium(medium, 16.0))
    assert enough.verdict == "approved with conditions"
    assert any("taken up within 5 minutes" in words for words in enough.conditions)
    assert any("filter is replaced after" in words for words in enough.conditions)
    small = bottle(2, cas, 0.25 * LITRE, state="solution", strength=strength)
    assert answer(small, house=with_medium(medium, 8.0)).verdict == "approved with conditions"


def test_benzene_is_stored_by_its_limit_clock() -> None:
    """OSHA's 1 ppm: held well; the limit, not the carbon's being full, sets the interval. In a room at 45 %: at 50 % water takes
    it under a month at the cautious end, and the bottle is weighed. NIOSH's 0.1 ppm asks for 1 ppb at
    the exhaust, which no carbon holds back for a month beside a room's own vapours."""
    result = answer(bottle(2, BENZENE, LITRE), place=replace(room(limits=OSHA), relative_humidity=0.45))
    assert result.verdict == "approved with conditions"
    assert result.governing == BENZENE
    assert 30.0 < float(np.quantile(result.life, 0.05)) < 365.0
    new = result.normal.fraction[0, result.normal.cas.index(BENZENE)]
    assert float(np.quantile(new, 0.95)) < 1e-3
    assert (
        answer(bottle(2, BENZENE, LITRE), place=room(limits={"lists": ["niosh-rel"]})).verdict
        == "not approved"
    )
