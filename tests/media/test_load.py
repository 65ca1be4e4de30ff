"""Media from files."""

from __future__ import annotations

import re

import pytest

from media.files import medium_file
from stillroom import media
from stillroom.errors import InputError
from stillroom.media import impregnants
from stillroom.sources import bibliography

WHOLE = (
    medium_file()
    + """[[impregnation]]
family = "ammonia"
reference_cas = "7664-41-7"
capacity_g_g = { p05 = 0.01, p50 = 0.03, p95 = 0.05 }
"""
)


def test_shipped_media():
    expected = {"generic", "coconut", "coal"} | {
        f"impregnated-{kind}" for kind in ("acid-gas", "ammonia", "formaldehyde", "mercury")
    }
    assert expected <= set(media.names())


@pytest.mark.parametrize("name", media.names())
def test_every_shipped_interval_has_a_source_of_the_bibliography(name):
    medium = media.load(name)
    intervals = [
        medium.micropore_volume,
        medium.characteristic_energy,
        medium.bulk_density,
        medium.grain_diameter,
        *(item.capacity for item in medium.impregnations),
    ]
    assert medium.name == name
    assert medium.source in bibliography()
    for interval in intervals:
        assert interval.p05 < interval.p50 < interval.p95
        assert interval.source in bibliography()


def test_each_family_has_a_generic_medium():
    """Families of the contract in `Impregnation`."""
    held = {item.family for name in media.names() for item in media.load(name).impregnations}
    assert held == set(impregnants.FAMILIES)


def test_versions_pin_the_files():
    versions = media.versions()
    assert set(versions) == set(media.names())
    assert all(re.fullmatch(r"\S+\+[0-9a-f]{12}", version) for version in versions.values())


def test_default_bypass_has_the_acceptance_limit_in_the_middle():
    """UFGS-15860A 2.4.4.2: downstream/upstream at most 0.0005."""
    interval = media.default_seal_bypass()
    assert interval.p50 == 5e-4 and interval.p05 < 5e-4 < interval.p95
    assert interval.source in bibliography()


def test_a_users_file(tmp_path):
    path = tmp_path / "ours.toml"
    path.write_text(WHOLE, "utf-8")
    medium = media.load(path)
    assert medium.grain_diameter.p50 == pytest.approx(1.5e-3, rel=1e-12)
    assert medium.micropore_volume.source == "user"
    assert medium.impregnations[0].family == "ammonia"


@pytest.mark.parametrize(
    ("old", "new", "column", "words"),
    [
        ("p95 = 0.5\n", "", "micropore_volume_cm3_g.p95", "Add it"),
        ("p95 = 0.5\n", "p95 = 0.3\n", "micropore_volume_cm3_g", "must not fall"),
        ("p05 = 450", "p05 = -1", "bulk_density_kg_m3.p05", "greater than 0"),
        ("p05 = 450", "p05 = nan", "bulk_density_kg_m3.p05", "finite"),
        ("p05 = 0.4\n", "p05 = 0.001\n", "micropore_volume_cm3_g", "is the unit"),
        ('"ammonia"', '"ammonium"', "impregnation.0.family", "acid gas"),
        ('"7664-41-7"', '"50-00-1"', "impregnation.0.reference_cas", "7664-41-7"),
        ('title = "Invented for this test"', 'titel = "x"', "titel", "spelling"),
        ("p05 = 18", 'p05 = 18\nsource = "nowhere"', "characteristic_energy_kJ_mol.source", "bibliography"),
    ],
)
def test_faults_name_file_key_and_mend(tmp_path, old, new, column, words):
    path = tmp_path / "ours.toml"
    assert WHOLE.count(old) >= 1
    path.write_text(WHOLE.replace(old, new, 1), "utf-8")
    with pytest.raises(InputError) as caught:
        media.load(path)
    problems = {problem.column: problem for problem in caught.value.problems}
    assert column in problems
    assert problems[column].file == "ours.toml" and problems[column].mend
    assert words in str(caught.value)


@pytest.mark.parametrize("content", [b"name = ", b"\xff\xfe\x00", b""])
def test_not_a_medium_at_all(tmp_path, content):
    path = tmp_path / "bad.toml"
    path.write_bytes(content)
    with pytest.raises(InputError, match=r"bad\.toml"):
        media.load(path)


def test_no_such_medium_names_the_shipped_ones():
    with pytest.raises(InputError, match="coconut"):
        media.load("nonesuch")
