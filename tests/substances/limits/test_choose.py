"""Which limit applies: strictest, first, ceilings and short-term limits."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import CannotTell, InputError
from stillroom.substances import limits
from stillroom.substances.limits.choice import choose
from stillroom.substances.limits.compare import molar_mass, own_mass_concentration
from stillroom.substances.limits.tables import read_csv
from stillroom.substances.model import Limit, LimitChoice, Ordering

KEYS = ["osha-z1", "osha-z2", "osha-substance", "niosh-rel", "uk-eh40", "ontario"]
CAS = sorted(
    {
        row["cas"]
        for name in (
            "osha_z1_2019",
            "osha_z2_2019",
            "osha_substance_2020",
            "niosh_rel_2019",
            "uk_eh40_2020",
            "groups",
        )
        for row in read_csv(f"{name}.csv")
        if row["cas"][0].isdigit()
    }
)
some_cas = st.sampled_from(CAS)
some_lists = st.lists(st.sampled_from(KEYS), min_size=1, unique=True)
EXACT = 1 + 1e-12  # comparison in floating point


@pytest.fixture(scope="module", autouse=True)
def _packages_loaded() -> None:
    """First look-ups import the chemistry package and its rare substances (0.7 s)."""
    molar_mass("101-14-4")
    limits.of("67-64-1", "ontario")


def mass(limit: Limit | None) -> float:
    assert limit is not None
    return own_mass_concentration(limit)


def criterion(choice: LimitChoice) -> Limit:
    assert choice.criterion is not None
    return choice.criterion


@given(some_cas, some_lists)
def test_strictest_is_never_above_any_chosen_limit(cas: str, keys: list[str]) -> None:
    choice = choose(cas, lists=keys, ordering=Ordering.STRICTEST)
    for limit in choice.all:
        assert mass(choice.criterion) <= mass(limit) * EXACT
        own = {"TWA": choice.twa, "STEL": choice.stel, "C": choice.ceiling}[limit.basis]
        assert mass(own) <= mass(limit) * EXACT


@given(some_cas, some_lists, st.sampled_from(KEYS))
def test_adding_a_list_never_raises_the_strictest(cas: str, keys: list[str], more: str) -> None:
    fewer = choose(cas, lists=keys)
    wider = choose(cas, lists=[*keys, more])
    if fewer.criterion is not None:
        assert mass(wider.criterion) <= mass(fewer.criterion) * EXACT


@given(some_cas, some_lists)
def test_strictest_does_not_depend_on_order(cas: str, keys: list[str]) -> None:
    one, two = choose(cas, lists=keys), choose(cas, lists=keys[::-1])
    assert (one.criterion is None) == (two.criterion is None)
    if one.criterion is not None:
        assert mass(one.criterion) == pytest.approx(mass(two.criterion), rel=1e-12)


@given(some_cas, some_lists)
def test_first_is_the_first_list_that_has_any_limit(cas: str, keys: list[str]) -> None:
    choice = choose(cas, lists=keys, ordering=Ordering.FIRST)
    having = [key for key in keys if limits.of(cas, key)]
    if not having:
        assert choice.criterion is None
        return
    assert criterion(choice).list == having[0]
    alone = choose(cas, lists=having[:1], ordering=Ordering.FIRST)
    assert (choice.twa, choice.stel, choice.ceiling) == (alone.twa, alone.stel, alone.ceiling)


@given(some_cas, some_lists, st.sampled_from(list(Ordering)))
def test_the_answer_names_list_and_edition_and_is_printed_somewhere(
    cas: str, keys: list[str], ordering: Ordering
) -> None:
    choice = choose(cas, lists=keys, ordering=ordering)
    assert choice.all == tuple(limit for key in keys for limit in limits.of(cas, key))
    if choice.criterion is None:
        assert choice.all == ()
        assert "No limit for" in choice.reasons[0]
        return
    assert choice.criterion in choice.all
    item = next(item for item in limits.lists() if item.key == choice.criterion.list)
    assert f"{item.title}, {item.edition}" in choice.reasons[0] + choice.reasons[1 % len(choice.reasons)]


def test_hydrogen_chloride_only_a_ceiling() -> None:
    """OSHA Z-1: C 5 ppm and no TWA."""
    choice = choose("7647-01-0", lists=["osha-z1"])
    assert choice.twa is None
    assert (criterion(choice).basis, criterion(choice).value) == ("C", 5.0)
    assert "only a ceiling; it is the basis" in choice.reasons[0]


def test_hydrogen_chloride_with_the_british_twa() -> None:
    """EH40: TWA 1 ppm; Ontario: ceiling 2 ppm above it; NIOSH: C 5 ppm."""
    choice = choose("7647-01-0", lists=["niosh-rel", "uk-eh40", "ontario"])
    assert (criterion(choice).list, criterion(choice).basis, criterion(choice).value) == (
        "uk-eh40",
        "TWA",
        1.0,
    )


def test_formaldehyde_ceiling_below_the_other_lists_twa() -> None:
    """NIOSH C 0.1 ppm lies below OSHA's TWA 0.75 ppm, but NIOSH's TWA 0.016 ppm is lower still."""
    choice = choose("50-00-0", lists=["osha-substance", "niosh-rel"])
    assert (criterion(choice).basis, criterion(choice).value) == ("TWA", 0.016)
    assert choice.ceiling is not None
    assert choice.ceiling.value == 0.1


def test_a_ceiling_below_every_twa_is_the_basis() -> None:
    """1,4-Dioxane: OSHA TWA 100 ppm; NIOSH has only C 1 ppm [30-minute]."""
    choice = choose("123-91-1", lists=["osha-z1", "niosh-rel"])
    assert (criterion(choice).list, criterion(choice).basis, criterion(choice).value) == (
        "niosh-rel",
        "C",
        1.0,
    )
    assert "lies below every TWA" in choice.reasons[0]
    assert criterion(choice).minutes == 30


def test_a_short_term_limit_below_every_twa_is_the_basis() -> None:
    """Carbon tetrachloride: OSHA Z-2 TWA 10 ppm; NIOSH has only ST 2 ppm [60-minute]."""
    choice = choose("56-23-5", lists=["osha-z2", "niosh-rel"])
    assert (criterion(choice).basis, criterion(choice).value, criterion(choice).minutes) == ("STEL", 2.0, 60)
    assert "short-term limit lies below every TWA" in choice.reasons[0]


def test_ppm_and_mg_m3_are_compared_by_molar_mass() -> None:
    """Phthalic anhydride: NIOSH 1 ppm = 6.06 mg/m³ (guide's conversion), EH40 4 mg/m³: EH40 is stricter."""
    choice = choose("85-44-9", lists=["niosh-rel", "uk-eh40"])
    assert (criterion(choice).list, criterion(choice).value, criterion(choice).unit) == (
        "uk-eh40",
        4.0,
        "mg/m3",
    )
    assert any("25 °C" in words for words in choice.reasons)


def test_osmium_tetroxide_in_two_units_as_osmium() -> None:
    """EH40 0.0002 ppm, NIOSH 0.002 mg/m³, both as Os: 0.00208 and 0.00267 mg/m³ of the oxide."""
    found = {
        limit.list: mass(limit)
        for limit in choose("20816-12-0", lists=["niosh-rel", "uk-eh40"]).all
        if limit.basis == "TWA"
    }
    assert found["uk-eh40"] == pytest.approx(0.0002 * 254.23 / 24.465, rel=1e-3)  # 24.465 L/mol at 25 °C
    assert found["niosh-rel"] == pytest.approx(0.002 * 254.23 / 190.23, rel=1e-3)  # four printed digits


def test_a_list_without_a_number_says_so() -> None:
    choice = choose("75-07-0", lists=["niosh-rel", "osha-z1"])
    assert any("lowest feasible" in words for words in choice.reasons)
    nothing = choose("75-07-0", lists=["niosh-rel"])
    assert nothing.criterion is None
    assert len(nothing.reasons) == 2


def test_benzene_in_table_z2_is_handed_on_to_its_own_standard() -> None:
    """29 CFR 1910.1000 Table Z-2, benzene: the 10 ppm is for exempt trades; 1910.1028 has 1 ppm / 5 ppm."""
    choice = choose("71-43-2", lists=["osha-z2", "osha-substance"], ordering=Ordering.FIRST)
    assert (criterion(choice).list, criterion(choice).value) == ("osha-substance", 1.0)
    assert choice.stel is not None
    assert choice.stel.value == 5.0
    assert any("1910.1028" in words for words in choice.reasons)


def test_unknown_list_names_the_known_ones() -> None:
    with pytest.raises(InputError, match="osha-z1, osha-z2, osha-substance, niosh-rel, uk-eh40, ontario"):
        choose("67-64-1", lists=["osha"])
    with pytest.raises(InputError, match="no list"):
        choose("67-64-1", lists=[])


def test_unknown_substance_has_no_criterion() -> None:
    choice = choose("50-99-7", lists=KEYS)  # glucose
    assert (choice.criterion, choice.all) == (None, ())


def test_without_a_molar_mass_ppm_cannot_be_compared() -> None:
    limit = Limit("0-00-0", "invented", "by-hand", "", "TWA", 1.0, "ppm")
    with pytest.raises(CannotTell, match="molar mass of invented"):
        own_mass_concentration(limit)


def test_nuisance_dust_is_asked_for_by_name_only() -> None:
    """PNOR 15 and 5 mg/m³ (Table Z-1); EH40 10 inhalable and 4 respirable (paragraphs on dust)."""
    assert [(x.value, x.fraction) for x in limits.nuisance_dust("osha-z1")] == [
        (15.0, "total"),
        (5.0, "respirable"),
    ]
    assert [(x.value, x.fraction) for x in limits.nuisance_dust("uk-eh40")] == [
        (10.0, "inhalable"),
        (4.0, "respirable"),
    ]
    assert limits.nuisance_dust("niosh-rel") == ()
    assert limits.nuisance_dust("ontario") == ()
    assert limits.of("7647-14-5", "osha-z1") == ()  # sodium chloride: never silently


@pytest.mark.parametrize(
    ("cas", "ppm"),
    [("50-00-0", 0.3), ("56-23-5", 5.0), ("67-56-1", 200.0)],  # common practice, no source
)
def test_orders_of_magnitude_of_the_trade(cas: str, ppm: float) -> None:
    """One of the lists' limits in ppm is within a factor of three of the trade's number: the same order."""
    found = [limit.value for limit in choose(cas, lists=KEYS).all if limit.unit == "ppm"]
    assert min(max(value / ppm, ppm / value) for value in found) < 3
