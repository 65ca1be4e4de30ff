"""The shipped rows against each other: what must hold across fields whatever the list."""

from __future__ import annotations

import re
import subprocess
import sys
from importlib import resources

import pytest

from stillroom.sources import bibliography
from stillroom.substances import check_digit, limits
from stillroom.substances.limits.compare import molar_mass, own_mass_concentration
from stillroom.substances.limits.tables import label, read_csv

SHIPPED = [item for item in limits.lists() if item.file]
KEYS = [item.key for item in SHIPPED]
BASES = ("twa", "stel", "ceiling")

# What is not volatile: a limit in ppm for one of these would be a dust handed out as a vapour.
SOLIDS = {
    "7439-92-1": "lead",
    "7758-97-6": "lead chromate",
    "1310-73-2": "sodium hydroxide",
    "1305-78-8": "calcium oxide",
    "7440-02-0": "nickel",
    "7440-43-9": "cadmium",
    "1309-37-1": "iron oxide",
    "13463-67-7": "titanium dioxide",
    "7778-50-9": "potassium dichromate",
    "14808-60-7": "quartz",
    "7761-88-8": "silver nitrate",
    "1344-28-1": "alumina",
    "7681-49-4": "sodium fluoride",
    "10361-37-2": "barium chloride",
    "7722-64-7": "potassium permanganate",
    "9005-25-8": "starch",
    "57-50-1": "sucrose",
    "1314-62-1": "vanadium pentoxide",
    "26628-22-8": "sodium azide",
    "1303-00-0": "gallium arsenide",
    "7440-50-8": "copper",
    "1314-13-2": "zinc oxide",
    "81-81-2": "warfarin",
}

# Solvents, acids, bases, amines, gases, metals and solids that teaching and research laboratories keep.
USUAL = """
64-19-7 108-24-7 67-64-1 75-05-8 79-06-1 107-13-1 7664-41-7 62-53-3 71-43-2 7726-95-6 71-36-3 78-92-2
75-65-0 78-93-3 123-86-4 109-73-9 75-15-0 56-23-5 7782-50-5 108-90-7 67-66-3 95-48-7 108-39-4 106-44-5
1319-77-3 110-82-7 108-93-0 108-94-1 110-83-8 95-50-1 106-46-7 75-34-3 107-06-2 540-59-0 75-09-2 109-89-7
60-29-7 108-20-3 127-19-5 124-40-3 68-12-2 121-69-7 77-78-1 123-91-1 106-89-8 141-43-5 110-80-5 141-78-6
64-17-5 75-04-7 100-41-4 74-96-4 107-15-3 106-93-4 107-21-1 75-21-8 109-94-4 50-00-0 64-18-6 98-01-1
111-30-8 142-82-5 110-54-3 107-83-5 108-10-1 302-01-2 10035-10-6 7647-01-0 74-90-8 7664-39-3 7722-84-1
7783-06-4 123-31-9 7553-56-2 123-51-3 110-19-0 78-83-1 108-21-4 67-63-0 75-31-0 108-31-6 7439-97-6
67-56-1 109-86-4 79-20-9 96-33-3 74-89-5 74-83-9 74-88-4 80-62-6 110-91-8 91-20-3 7697-37-2 100-01-6
98-95-3 75-52-5 10102-44-0 111-65-9 20816-12-0 144-62-7 10028-15-6 109-66-0 108-95-2 106-50-3 100-63-0
75-44-5 7664-38-2 10025-87-3 10026-13-8 7719-12-2 85-44-9 88-89-1 1310-58-3 71-23-8 75-56-9 110-86-1
106-51-4 108-46-3 26628-22-8 1310-73-2 100-42-5 7446-09-5 7664-93-9 127-18-4 109-99-9 7719-09-7 108-88-3
95-53-4 76-03-9 71-55-6 79-00-5 79-01-6 121-44-8 75-50-3 8006-64-2 8052-41-3 108-05-4 75-01-4 1330-20-7
95-47-6 108-38-3 106-42-3 107-02-8 75-07-0 79-10-7 107-18-6 504-29-0 628-63-7 123-92-2 7784-42-1 100-44-7
92-52-4 111-76-2 106-97-8 540-88-5 76-22-2 124-38-9 630-08-0 120-80-9 98-82-8 94-75-7 50-29-3 84-74-2
117-81-7 111-42-2 111-40-0 108-18-9 84-66-2 122-39-4 101-84-8 78-10-4 75-12-7 98-00-0 107-41-5 74-93-1
108-87-2 872-50-4 1634-04-4 54-11-5 79-24-3 88-72-2 10024-97-2 87-86-5 7803-51-2 1314-80-3 79-09-4
107-19-7 57-24-9 10025-67-9 68-11-1 137-26-8 584-84-9 101-68-8 126-73-8 552-30-7 7778-50-9 7789-00-6
1333-82-0 7758-97-6 10099-74-8 301-04-2 6080-56-4 1317-36-8 7487-94-7 21908-53-2 7440-43-9 10108-64-2
1327-53-3 7784-46-5 7761-88-8 10361-37-2 10326-27-9 7440-02-0 7786-81-4 7718-54-9 7646-79-9 7440-50-8
7758-98-7 7758-99-8 7722-64-7 1313-13-9 151-50-8 143-33-9 7681-49-4 12125-01-8 7772-99-8 7782-49-2
7446-08-4 1309-64-4 10025-91-9 1314-62-1 7803-55-6 12054-85-2 7446-18-6 13494-80-9 16941-12-1 541-09-3
7440-33-7 14808-60-7 13463-67-7 1344-28-1 1305-62-0 1305-78-8 1317-65-3 7778-18-9 1309-37-1 1314-13-2
1303-96-4 7631-90-5 7681-57-4 9004-34-6 9005-25-8 57-50-1 56-81-5 1332-58-7 7631-86-9 14807-96-6
7705-08-0 7446-70-0 7429-90-5 12125-02-9 7646-85-7 557-05-1 8002-74-2 50-78-2
"""


def rows() -> list[tuple[str, dict[str, str]]]:
    return [(item.key, row) for item in SHIPPED for row in read_csv(item.file)]


def every_cas() -> list[str]:
    direct = {row["cas"] for _, row in rows() if row["cas"][0].isdigit()}
    return sorted(direct | {row["cas"] for row in read_csv("groups.csv")})


def test_at_least_two_hundred_usual_chemicals_have_a_limit_in_a_shipped_list() -> None:
    without = [cas for cas in USUAL.split() if not any(limits.of(cas, key) for key in KEYS)]
    assert len(set(USUAL.split())) >= 200
    assert without == []


@pytest.mark.parametrize("key", KEYS)
def test_no_list_speaks_twice_of_the_same_thing(key: str) -> None:
    seen = set()
    for owner, row in rows():
        for basis in BASES:
            if owner == key and row[basis]:
                name = (row["cas"], basis, row["unit"], row["fraction"], row["measured_as"])
                assert name not in seen
                seen.add(name)
    assert seen


def test_every_group_of_a_row_has_members_and_every_cas_its_check_digit() -> None:
    groups = {row["group"] for row in read_csv("groups.csv")}
    for key, row in rows():
        assert row["cas"] == "dust" or row["cas"] in groups or check_digit(row["cas"]), (key, row)
    assert [cas for cas in every_cas() if not check_digit(cas)] == []


def test_units_notations_and_numbers_are_of_the_known_kinds() -> None:
    for key, row in rows():
        printed = [row[basis] for basis in BASES if row[basis]]
        assert all(re.fullmatch(r"\d*\.?\d+", value) and float(value) > 0 for value in printed), (key, row)
        assert (row["unit"] in {"ppm", "mg/m3", "ug/m3"}) == bool(printed), (key, row)
        assert set(row["notations"].split()) <= {"skin", "ca", "sen"}, (key, row)
        assert printed or row["note"], (key, row)  # an entry without a number says why
        assert not (row["unit"] == "ppm" and row["fraction"]), (key, row)


@pytest.mark.parametrize("key", KEYS)
def test_stel_and_ceiling_are_not_below_the_twa_of_their_entry(key: str) -> None:
    compared = 0
    for owner, row in rows():
        for short in ("stel", "ceiling"):
            if owner == key and row["twa"] and row[short]:
                compared += 1
                assert float(row[short]) >= float(row["twa"]), row
    assert compared > 0 or key in ("osha-z1", "uk-lead")  # these print a TWA or a ceiling, never both


@pytest.mark.parametrize("cas", SOLIDS, ids=SOLIDS.get)
def test_no_ppm_for_solids_that_do_not_evaporate(cas: str) -> None:
    found = [limit for item in limits.lists() for limit in limits.of(cas, item.key)]
    assert found
    assert {limit.unit for limit in found} == {"mg/m3"}


def test_every_ppm_is_of_something_that_boils_or_sublimes() -> None:
    """Boiling point at one atmosphere below 700 K (`chemicals`); terphenyls are the least volatile."""
    from chemicals import Tb

    compared = 0
    for cas in every_cas():
        boiling = Tb(cas)
        for key in KEYS:
            for limit in limits.of(cas, key):
                if cas == "5124-30-1":
                    continue  # printed in ppm; the package's 706 K is a guess from the groups
                if limit.unit == "ppm" and boiling is not None:
                    compared += 1
                    assert boiling < 700, (limit.name, boiling)
    assert compared > 700


def test_the_molar_mass_of_every_ppm_row_is_known() -> None:
    without = {
        limit.name
        for cas in every_cas()
        for key in KEYS
        for limit in limits.of(cas, key)
        if limit.unit == "ppm" and molar_mass(cas) is None
    }
    assert without == set()


def test_one_list_in_ppm_and_in_mg_m3_agrees_with_itself() -> None:
    """Caprolactam, NIOSH: 0.22 ppm and 1 mg/m³, 0.66 ppm and 3 mg/m³; 5 %: two printed digits."""
    found = limits.of("105-60-2", "niosh-rel")
    vapour = {item.basis: own_mass_concentration(item) for item in found if item.unit == "ppm"}
    dust = {item.basis: item.value for item in found if item.unit == "mg/m3"}
    assert vapour == pytest.approx(dust, rel=0.05)


def test_sidecars_name_a_source_of_the_bibliography_and_have_rights() -> None:
    for item in limits.lists():
        assert item.source in bibliography()
        assert item.rights and item.edition and item.jurisdiction and item.authority
    expected = [
        "osha-z1",
        "osha-z2",
        "osha-substance",
        "niosh-rel",
        "uk-eh40",
        "ontario",
        "uk-lead",
        "de-trgs900",
    ]
    assert [item.key for item in limits.lists()] == expected


def test_no_copyrighted_list_is_shipped() -> None:
    for file in (resources.files("stillroom.substances.limits") / "data").iterdir():
        assert "ACGIH" not in file.read_text("utf-8").upper()
        assert "TLV" not in file.read_text("utf-8").upper()


def test_every_limit_has_list_edition_source_and_locator() -> None:
    for cas in every_cas():
        for item in SHIPPED:
            for limit in limits.of(cas, item.key):
                assert (limit.cas, limit.list, limit.edition) == (cas, item.key, item.edition)
                assert limit.source and limit.locator


def test_values_from_memory_say_so() -> None:
    """Every label is that of an entry, and the entry's limits carry the words."""
    for item in SHIPPED:
        assert set(item.from_memory) <= {label(row) for row in read_csv(item.file)}
    found = [limit for limit in limits.of("1305-62-0", "uk-eh40") if limit.fraction == ""]
    assert found and all("from memory" in limit.note for limit in found)
    assert all("from memory" not in limit.note for limit in limits.of("67-64-1", "uk-eh40"))


def test_versions_name_edition_and_digest() -> None:
    found = limits.versions()
    assert set(found) == {item.key for item in limits.lists()} | {"groups"}
    assert all(re.search(r"sha256 [0-9a-f]{12}$", words) for words in found.values())


def test_a_look_up_loads_no_chemistry() -> None:
    code = (
        "import sys; from stillroom.substances import limits; limits.of('67-64-1', 'niosh-rel');"
        "print(any(name in sys.modules for name in ('chemicals', 'pandas', 'numpy')))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_lead_in_the_united_kingdom() -> None:
    """SI 2002/2676, regulation 2(1): 0.15 mg/m³, alkyls 0.10 mg/m³, both as lead; EH40 has no lead."""
    assert limits.of("10099-74-8", "uk-eh40") == ()
    assert [(x.value, x.measured_as) for x in limits.of("10099-74-8", "uk-lead")] == [(0.15, "Pb")]
    assert [(x.value, x.measured_as) for x in limits.of("78-00-2", "uk-lead")] == [(0.10, "Pb")]


def test_the_german_excerpt_says_that_it_is_one() -> None:
    """TRGS 900: D-limonene 5 ml/m³ = 28 mg/m³, excursion factor 4 (136.24 g/mol at 20 °C: 28.3 mg/m³)."""
    excerpt = next(item for item in limits.lists() if item.key == "de-trgs900")
    assert "excerpt" in excerpt.title
    found = {limit.basis: limit for limit in limits.of("5989-27-5", "de-trgs900")}
    assert (found["TWA"].value, found["STEL"].value, found["TWA"].unit) == (5.0, 20.0, "ppm")
    assert own_mass_concentration(found["TWA"]) == pytest.approx(28, rel=0.02)  # printed at 20 °C, ours 25 °C
