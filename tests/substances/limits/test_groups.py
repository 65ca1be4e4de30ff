"""Compounds that are limited as an element or ion: members, molar masses, mass fractions."""

from __future__ import annotations

import pytest

from stillroom.substances import limits
from stillroom.substances.limits.compare import molar_mass
from stillroom.substances.limits.tables import mass_fraction, read_csv
from stillroom.substances.model import Ordering

# Where the package has no molar mass or another one (hydrates without their water, hydrogen in excess,
# a dimer), the formula is written here and added up from the package's atomic weights.
FORMULAS = {
    "10210-68-1": {"Co": 2, "C": 8, "O": 8},
    "1314-36-9": {"Y": 2, "O": 3},
    "26299-14-9": {"C": 5, "H": 6, "Cl": 1, "Cr": 1, "N": 1, "O": 3},
    "10022-68-1": {"Cd": 1, "N": 2, "O": 10, "H": 8},
    "1303-33-9": {"As": 2, "S": 3},
    "7791-13-1": {"Co": 1, "Cl": 2, "H": 12, "O": 6},
    "7785-87-7": {"Mn": 1, "S": 1, "O": 4},
    "10034-96-5": {"Mn": 1, "S": 1, "O": 5, "H": 2},
    "13446-34-9": {"Mn": 1, "Cl": 2, "H": 8, "O": 4},
    "1317-35-7": {"Mn": 3, "O": 4},
    "506-61-6": {"K": 1, "Ag": 1, "C": 2, "N": 2},
    "1341-49-7": {"N": 1, "H": 5, "F": 2},
    "7789-29-9": {"K": 1, "H": 1, "F": 2},
    "1333-83-1": {"Na": 1, "H": 1, "F": 2},
    "10025-69-1": {"Sn": 1, "Cl": 2, "H": 4, "O": 2},
    "688-73-3": {"Sn": 1, "C": 12, "H": 28},
    "1309-64-4": {"Sb": 2, "O": 3},
    "12027-67-7": {"Mo": 7, "N": 6, "H": 24, "O": 24},
    "12054-85-2": {"Mo": 7, "N": 6, "H": 32, "O": 28},
    "10102-06-4": {"U": 1, "N": 2, "O": 8},
    "13520-83-7": {"U": 1, "N": 2, "O": 14, "H": 12},
    "541-09-3": {"U": 1, "C": 4, "H": 6, "O": 6},
    "6159-44-0": {"U": 1, "C": 4, "H": 10, "O": 8},
    "7699-43-6": {"Zr": 1, "O": 1, "Cl": 2},
    "13520-92-8": {"Zr": 1, "O": 9, "Cl": 2, "H": 16},
    "13473-90-0": {"Al": 1, "N": 3, "O": 9},
    "7784-27-2": {"Al": 1, "N": 3, "O": 18, "H": 18},
    "7784-24-9": {"Al": 1, "K": 1, "S": 2, "O": 20, "H": 24},
    "10045-89-3": {"Fe": 1, "N": 2, "H": 8, "S": 2, "O": 8},
    "26471-62-5": {"C": 9, "H": 6, "N": 2, "O": 2},
    "7803-52-3": {"Sb": 1, "H": 3},
    "19624-22-7": {"B": 5, "H": 9},
    "1338-23-4": {"C": 8, "H": 16, "O": 4},
    "1330-20-7": {"C": 8, "H": 10},
    "1319-77-3": {"C": 7, "H": 8, "O": 1},
    "1300-73-8": {"C": 8, "H": 11, "N": 1},
    "25013-15-4": {"C": 9, "H": 10},
    "25639-42-3": {"C": 7, "H": 14, "O": 1},
    "25321-14-6": {"C": 7, "H": 6, "N": 2, "O": 4},
}


def test_typed_molar_masses_against_the_package_or_the_formula() -> None:
    """Within 0.03 g/mol or 0.03 %: two printed decimals and older atomic weights."""
    from chemicals.elements import molecular_weight
    from chemicals.identifiers import MW

    compared = 0
    for row in read_csv("groups.csv"):
        if not row["molar_mass"]:
            continue
        cas = row["cas"]
        expected = molecular_weight(FORMULAS[cas]) if cas in FORMULAS else MW(cas)
        assert float(row["molar_mass"]) == pytest.approx(expected, rel=3e-4, abs=0.03), row["name"]
        compared += 1
    assert compared > 300


def test_atoms_of_the_element_against_the_packages_formula() -> None:
    """Counts against the formula that `chemicals` stores, for the elements (not for CN, NCO)."""
    from chemicals.elements import simple_formula_parser
    from chemicals.identifiers import search_chemical

    compared = 0
    for row in read_csv("groups.csv"):
        element = row["counted_as"].removesuffix("(VI)")
        if element in ("", "CN", "NCO", "V2O5") or row["cas"] in FORMULAS:
            continue
        atoms = simple_formula_parser(search_chemical(row["cas"]).formula)
        assert atoms.get(element) == float(row["count"]), row["name"]
        compared += 1
    assert compared > 250


@pytest.mark.parametrize(
    ("cas", "counted_as", "fraction"),
    [
        ("7758-97-6", "Pb", 0.6411),  # PbCrO4: 207.2 / 323.19
        ("7758-97-6", "Cr(VI)", 0.1609),  # 51.996 / 323.19
        ("7778-50-9", "Cr(VI)", 0.3535),  # K2Cr2O7: 103.99 / 294.18
        ("151-50-8", "CN", 0.3995),  # KCN: 26.018 / 65.12
        ("7681-49-4", "F", 0.4524),  # NaF: 18.998 / 41.99
        ("20816-12-0", "Os", 0.7483),  # OsO4: 190.23 / 254.23
        ("1314-62-1", "V", 0.5602),  # V2O5: 101.88 / 181.88
    ],
)
def test_mass_fractions_by_hand(cas: str, counted_as: str, fraction: float) -> None:
    assert mass_fraction(cas, counted_as) == pytest.approx(fraction, abs=5e-5)  # printed digits


def test_where_two_groups_apply_all_limits_are_returned() -> None:
    """Lead chromate: 1910.1025 has 50 µg/m³ as Pb, 1910.1026 5 µg/m³ as Cr(VI)."""
    found = {limit.measured_as: limit.value for limit in limits.of("7758-97-6", "osha-substance")}
    assert found == {"Pb": 0.05, "Cr(VI)": 0.005}
    chosen = limits.choose("7758-97-6", lists=["osha-substance"])
    assert chosen.twa is not None
    assert chosen.twa.measured_as == "Cr(VI)"  # 0.031 mg/m³ of the chromate; as Pb it would be 0.078
    assert any("0.0311 mg/m³ of the substance itself" in words for words in chosen.reasons)


def test_as_x_is_compared_as_mass_of_the_substance() -> None:
    """Lead chromate, NIOSH: as Cr(VI) 0.0002 is stricter than as Pb 0.050, in both orderings."""
    for ordering in Ordering:
        chosen = limits.choose("7758-97-6", lists=["niosh-rel"], ordering=ordering)
        assert chosen.criterion is not None
        assert (chosen.criterion.measured_as, chosen.criterion.value) == ("Cr(VI)", 0.0002)


def test_isomers_of_xylene_and_hexane() -> None:
    for cas in ("1330-20-7", "95-47-6", "108-38-3", "106-42-3"):
        assert [limit.value for limit in limits.of(cas, "osha-z1")] == [100.0]
    assert [limit.value for limit in limits.of("107-83-5", "niosh-rel")] == [100.0, 510.0]
    assert [limit.value for limit in limits.of("110-54-3", "niosh-rel")] == [50.0]  # n-hexane has its own


def test_butanols_have_each_their_own() -> None:
    """Table Z-1: n 100, sec 150, tert 100, iso 100 ppm."""
    found = [limits.of(cas, "osha-z1")[0].value for cas in ("71-36-3", "78-92-2", "75-65-0", "78-83-1")]
    assert found == [100.0, 150.0, 100.0, 100.0]


def test_the_tables_molar_mass_stands_before_the_packages() -> None:
    """Stibine, SbH3, 124.78 g/mol; the package has that of antimony."""
    assert molar_mass("7803-52-3") == pytest.approx(124.78)
