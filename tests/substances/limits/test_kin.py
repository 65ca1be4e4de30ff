"""Hydrates, deuterated compounds and isomers get the limit that a list prints for their parent."""

from __future__ import annotations

import csv
from importlib import resources

import pytest

from stillroom.substances import check_digit, limits
from stillroom.substances.kin import kin_of
from stillroom.substances.limits.tables import lists, mass_fraction

ROWS = list(
    csv.DictReader(
        (resources.files("stillroom.substances") / "data" / "kin.csv").read_text("utf-8").splitlines()
    )
)
# The package has these without their water, or not as the CAS number says: formula of the hydrate by hand.
WRONG_IN_THE_PACKAGE = {"7790-78-5", "10031-43-3", "7784-31-8", "7787-56-6"}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["cas"])
def test_numbers_are_cas_numbers_and_lists_exist(row: dict[str, str]) -> None:
    assert check_digit(row["cas"]) and check_digit(row["parent"])
    assert set(row["lists"].split()) <= {item.key for item in lists()}
    assert (row["kind"] == "hydrate") == bool(row["waters"])


def test_compositions_agree_with_the_identifier_tables() -> None:
    """Parent + n H2O; parent with H for D; the same formula for isomers: formulae that `chemicals` (PubChem) has."""
    from chemicals.elements import simple_formula_parser
    from chemicals.identifiers import search_chemical

    compared: dict[str, int] = {}
    for row in ROWS:
        try:
            one, parent = search_chemical(row["cas"]), search_chemical(row["parent"])
        except ValueError:
            continue
        if one.CASs != row["cas"] or parent.CASs != row["parent"] or row["cas"] in WRONG_IN_THE_PACKAGE:
            continue
        atoms = simple_formula_parser(one.formula)
        atoms["H"] = atoms.get("H", 0) + atoms.pop("D", 0)
        expected = dict(simple_formula_parser(parent.formula))
        water = float(row["waters"] or 0)
        expected["H"] = expected.get("H", 0) + 2 * water
        expected["O"] = expected.get("O", 0) + water
        assert {k: v for k, v in atoms.items() if v} == {k: v for k, v in expected.items() if v}, row
        compared[row["kind"]] = compared.get(row["kind"], 0) + 1
    assert compared["hydrate"] >= 30 and compared["deuterated"] >= 18 and compared["isomer"] >= 11


def test_oxalic_acid_dihydrate_has_the_acids_limit_and_says_so() -> None:
    """29 CFR 1910.1000 Table Z-1, oxalic acid: 1 mg/m³; EH40 and NIOSH 1 and 2 mg/m³."""
    chosen = limits.choose("6153-56-6", lists=["osha-z1"])
    assert chosen.criterion is not None
    assert (chosen.criterion.value, chosen.criterion.unit) == (1.0, "mg/m3")
    assert chosen.criterion.printed_for == "oxalic acid (144-62-7)"
    assert any(
        "printed for oxalic acid (144-62-7)" in words and "cautious" in words for words in chosen.reasons
    )
    assert {(limit.basis, limit.value) for limit in limits.of("6153-56-6", "uk-eh40")} == {
        ("TWA", 1.0),
        ("STEL", 2.0),
    }


def test_a_hydrate_counts_its_metal_with_the_water() -> None:
    """Chrome alum, KCr(SO4)2·12H2O, 499.40 g/mol: Cr 51.996/499.40 = 0.1041."""
    assert mass_fraction("7788-99-0", "Cr") == pytest.approx(0.1041, abs=1e-4)
    found = limits.of("7788-99-0", "osha-z1")
    assert [(limit.value, limit.measured_as, limit.printed_for) for limit in found] == [(0.5, "Cr", "")]


def test_a_list_that_names_the_hydrate_is_taken_at_its_word() -> None:
    """Ontario prints lithium hydroxide (1310-65-2) and its monohydrate apart."""
    assert [limit.printed_for for limit in limits.of("1310-66-3", "ontario")] == [""]


def test_isomers_only_where_the_list_says_all_isomers() -> None:
    """Ontario prints "Octane, All isomers" 300 ppm; OSHA, NIOSH n-octane alone; EH40 no octane at all."""
    assert [(limit.value, limit.unit) for limit in limits.of("540-84-1", "ontario")] == [(300.0, "ppm")]
    for key in ("osha-z1", "niosh-rel", "uk-eh40"):
        assert limits.of("540-84-1", key) == ()
        assert bool(limits.of("111-65-9", key)) == (key != "uk-eh40")


def test_deuterated_solvents_have_their_parents_limits() -> None:
    for cas in ("865-49-6", "1076-43-3", "1665-00-5"):
        kin = kin_of(cas)
        assert kin is not None
        for item in lists():
            mine, theirs = limits.of(cas, item.key), limits.of(kin.parent, item.key)
            assert [(x.basis, x.value, x.unit) for x in mine] == [(x.basis, x.value, x.unit) for x in theirs]
            assert limits.remarks(cas, item.key) == limits.remarks(kin.parent, item.key)
