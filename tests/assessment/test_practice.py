"""What a careful practitioner expects. Each is common practice, no source, unless another origin stands beside it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from assessment.invented import LITRE, answer, bottle, cabinet, reasons, room, unlabelled

TOLUENE, BENZENE, METHANOL, ETHER = "108-88-3", "71-43-2", "67-56-1", "60-29-7"
HYDROGEN, PICRIC, FORMALDEHYDE, SALT = "1333-74-0", "88-89-1", "50-00-0", "7647-14-5"
HCL, AMMONIA, SULFURIC, NITRIC = "7647-01-0", "7664-41-7", "7664-93-9", "7697-37-2"
MERCURY, CHROMATE = "7439-97-6", "7758-97-6"


def fraction(result, cas: str) -> float:
    """95 % end of the exhaust over its limit on a new filter."""
    return float(np.quantile(result.normal.fraction[0, result.normal.cas.index(cas)], 0.95))


def unfiltered(result, cas: str) -> float:
    """The same with no filter at all."""
    return float(np.quantile(result.normal.unfiltered[result.normal.cas.index(cas)], 0.95))


def test_toluene_alone_is_approved_for_a_year() -> None:
    """2 × 2.5 L on 8 kg of coconut carbon: its life is set by room air or age; about one year is usual."""
    result = answer(bottle(2, TOLUENE, 2.5 * LITRE, 2))
    assert result.verdict == "approved"
    assert result.governing == "age"
    assert np.quantile(result.life, 0.05) == pytest.approx(365.0)
    assert fraction(result, TOLUENE) < 0.01


def test_what_never_may_be_here_is_refused_and_the_rest_still_assessed() -> None:
    """Hydrogen, dry picric acid and unlabelled bottles are refused; toluene beside them keeps its own answer."""
    alone = answer(bottle(2, TOLUENE, 2.5 * LITRE, 2))
    result = answer(
        bottle(2, TOLUENE, 2.5 * LITRE, 2),
        bottle(3, HYDROGEN, 10 * LITRE, state="gas"),
        bottle(4, PICRIC, 0.1, state="solid"),
        unlabelled(5),
    )
    assert result.verdict == "not approved"
    assert result.container_verdicts == {
        "r2": "approved",
        "r3": "not approved",
        "r4": "not approved",
        "r5": "not approved",
    }
    assert [item.key for item in result.staying.containers] == ["r2"]
    assert {one.container for one in result.plan.placed} == {"r2"}
    assert fraction(result, TOLUENE) == pytest.approx(fraction(alone, TOLUENE))
    assert "carbon does not hold" in reasons(result, HYDROGEN)
    assert "explosive" in reasons(result, PICRIC)
    assert any("never approved" in words for words in result.container_reasons["r5"])


def test_hydrochloric_acid_and_ammonia_need_their_media_and_never_stand_together() -> None:
    result = answer(
        bottle(2, HCL, 2.5 * LITRE, state="solution", strength=0.37),
        bottle(3, AMMONIA, LITRE, state="solution", strength=0.25),
    )
    assert result.container_verdicts == {"r2": "not approved", "r3": "not approved"}
    assert "acid gases" in reasons(result, HCL) and "plain carbon is not" in reasons(result, HCL)
    assert "ammonia" in reasons(result, AMMONIA) and "plain carbon is not" in reasons(result, AMMONIA)
    (conflict,) = result.conflicts
    assert set(conflict.cas) == {HCL, AMMONIA}
    assert conflict.severity in {"not in one cabinet", "alone"}


def test_formaldehyde_asks_for_its_medium_and_is_content_with_it() -> None:
    formalin = bottle(2, FORMALDEHYDE, 0.1 * LITRE, state="solution", strength=0.37)
    plain = answer(formalin)
    assert plain.verdict == "not approved"
    assert "plain carbon is not" in reasons(plain, FORMALDEHYDE)
    by_osha = room(
        limits={"lists": ["osha-substance"]}
    )  # 0.75 ppm (29 CFR 1910.1048); NIOSH's 0.016 ppm decides else
    with_medium = answer(formalin, house=cabinet("impregnated-formaldehyde"), place=by_osha)
    assert "plain carbon is not" not in reasons(with_medium, FORMALDEHYDE)
    assert "characterised for formaldehyde" in reasons(with_medium, FORMALDEHYDE)
    assert with_medium.verdict == "approved with conditions"
    assert fraction(with_medium, FORMALDEHYDE) < unfiltered(with_medium, FORMALDEHYDE)
    strict = answer(formalin, house=cabinet("impregnated-formaldehyde"))
    assert "plain carbon is not" not in reasons(strict, FORMALDEHYDE)


def test_a_medium_for_another_family_does_not_serve() -> None:
    formalin = bottle(2, FORMALDEHYDE, 0.1 * LITRE, state="solution", strength=0.37)
    result = answer(formalin, house=cabinet("impregnated-ammonia"))
    assert "plain carbon is not" in reasons(result, FORMALDEHYDE)
    assert result.verdict == "not approved"


def test_table_salt_is_approved_by_the_nuisance_dust_limit_and_said_so() -> None:
    result = answer(bottle(2, SALT, 1.0, state="solid"))
    assert result.verdict == "approved"
    assert "nuisance dust" in reasons(result, SALT)


@pytest.mark.parametrize(
    ("ordering", "lists", "value"),
    [
        # 10 mg/m³ inhalable (EH40/2005, 4th ed., general dust), 15 mg/m³ total (29 CFR 1910.1000 Table Z-1, PNOR)
        ("strictest", ["osha-z1", "uk-eh40"], 10.0),
        ("strictest", ["osha-z1"], 15.0),
        ("first", ["osha-z1", "uk-eh40"], 15.0),
        ("first", ["uk-eh40", "osha-z1"], 10.0),
    ],
)
def test_the_surrogate_follows_the_sites_ordering(ordering: str, lists: list[str], value: float) -> None:
    result = answer(
        bottle(2, SALT, 1.0, state="solid"), place=room(limits={"lists": lists, "ordering": ordering})
    )
    surrogate = result.subjects[0].subject.surrogate
    assert surrogate is not None
    assert (surrogate.value, surrogate.unit) == (value, "mg/m3")


def test_the_nuisance_dust_limit_is_lent_to_no_poison_and_no_liquid() -> None:
    """Dimethyl sulfoxide has no limit in these lists: as a liquid it borrows none and is refused."""
    result = answer(bottle(2, "67-68-5", 0.5 * LITRE), place=room(limits={"lists": ["osha-z1"]}))
    assert result.verdict == "not approved"
    assert result.subjects[0].subject.surrogate is None


def test_nitric_acid_stands_alone() -> None:
    """An oxidising acid with a solvent is fire; on plain carbon it is refused anyway."""
    result = answer(
        bottle(2, NITRIC, LITRE, state="solution", strength=0.65),
        bottle(3, TOLUENE, LITRE),
        bottle(4, "64-19-7", LITRE),
    )
    assert result.container_verdicts["r2"] == "not approved"
    assert {item.severity for item in result.conflicts if NITRIC in item.cas} <= {
        "alone",
        "not in one cabinet",
    }
    assert {cas for item in result.conflicts if NITRIC in item.cas for cas in item.cas} == {
        NITRIC,
        TOLUENE,
        "64-19-7",
    }


def test_benzene_is_held_well_and_its_low_limit_decides() -> None:
    by_osha = replace(  # 1 ppm (29 CFR 1910.1028); toluene 200 ppm
        room(limits={"lists": ["osha-substance", "osha-z2"]}), relative_humidity=0.45
    )
    benzene, toluene = (answer(bottle(2, cas, LITRE), place=by_osha) for cas in (BENZENE, TOLUENE))
    assert unfiltered(benzene, BENZENE) > 0.01
    assert unfiltered(benzene, BENZENE) / fraction(benzene, BENZENE) > 10.0
    assert fraction(benzene, BENZENE) > 10.0 * fraction(toluene, TOLUENE)
    assert benzene.verdict != "approved"
    strict = answer(bottle(2, BENZENE, LITRE), place=room(limits={"lists": ["niosh-rel"]}))  # 0.1 ppm
    assert strict.verdict != "approved"


def test_methanol_is_no_matter_in_storage_and_bearable_in_a_quick_spill() -> None:
    result = answer(
        bottle(2, METHANOL, 2.5 * LITRE), place=room(limits={"lists": ["osha-z1", "niosh-rel", "uk-eh40"]})
    )
    assert unfiltered(result, METHANOL) < 0.01
    assert result.verdict == "approved with conditions"
    spill = result.subjects[0].spill
    assert spill is not None and spill.minutes < 15.0
    assert any("minutes" in words for words in result.conditions)


def test_ether_is_a_question_of_the_flammable_fraction_above_all_with_the_fan_stopped() -> None:
    result = answer(bottle(2, ETHER, 2.5 * LITRE))
    spill = result.subjects[0].spill
    assert spill is not None and spill.flammable is not None and spill.flammable_stopped is not None
    assert (
        float(np.quantile(spill.flammable, 0.95)) > 0.25
    )  # a quarter of the lower flammable limit: the usual bound
    assert float(np.quantile(spill.flammable_stopped, 0.95)) > float(np.quantile(spill.flammable, 0.95))
    assert result.verdict != "approved"


def test_sulfuric_acid_is_no_vapour_question_but_its_neighbours_are() -> None:
    acid = bottle(2, SULFURIC, LITRE, strength=0.98)
    alone = answer(acid)
    assert alone.verdict == "approved"
    assert float(np.quantile(alone.normal.unfiltered.sum(axis=0), 0.95)) < 0.01
    beside = answer(acid, bottle(3, TOLUENE, LITRE))
    assert [set(item.cas) for item in beside.conflicts] == [{SULFURIC, TOLUENE}]


def test_mercury_is_a_vapour_question() -> None:
    plain = answer(bottle(2, MERCURY, 0.1 * LITRE))
    assert plain.verdict == "not approved"
    assert "mercury vapour is hardly held by plain carbon" in reasons(plain, MERCURY)
    assert "plain carbon is not" not in reasons(
        answer(bottle(2, MERCURY, 0.1 * LITRE), house=cabinet("impregnated-mercury")), MERCURY
    )


def test_lead_chromate_is_a_matter_for_the_particulate_filter_in_mg() -> None:
    """H14 lets at most 0.005 % through (EN 1822-1), so without it a spill of the powder is at least 20 times worse
    even where the by-pass of the seals dominates (0.5 % at its 95 % end).
    """
    powder = bottle(2, CHROMATE, 0.01, state="solid")
    filtered, bare = answer(powder), answer(powder, house=cabinet(particulate=None))
    subject = filtered.subjects[0].subject
    assert subject.criterion is not None and subject.criterion.unit == "mg/m3"
    assert CHROMATE in filtered.normal.dust_cas
    one, other = filtered.subjects[0].spill, bare.subjects[0].spill
    assert one is not None and other is not None
    assert float(np.median(other.short[0])) > 20.0 * float(np.median(one.short[0]))
    assert bare.verdict == "not approved"
