"""Ontario's limits, as the `chemicals` package carries them: which unit was printed."""

from __future__ import annotations

import pytest

from stillroom.substances import limits
from stillroom.substances.limits import ontario
from stillroom.substances.limits.compare import own_mass_concentration


def test_every_value_of_the_package_can_be_told_apart() -> None:
    """668 TWA, 146 STEL and 59 ceilings are there; keys that begin with a blank fall together with others."""
    counts = {"TWA": 0, "STEL": 0, "Ceiling": 0}
    for row in ontario.table().values():
        for basis in counts:
            if row[f"{basis} (ppm)"] or row[f"{basis} (mg/m^3)"]:
                assert ontario.printed(row, basis) is not None, row["Name"]
                counts[basis] += 1
    assert counts["TWA"] > 650
    assert counts["STEL"] > 140
    assert counts["Ceiling"] > 55


def test_dust_that_the_package_hands_out_in_ppm_comes_in_mg_m3() -> None:
    """Gallium arsenide: `chemicals.safety.TWA` gives 5.07e-05 ppm; printed is 0.0003 mg/m³."""
    from chemicals import safety

    assert safety.TWA("1303-00-0")[1] == "ppm"
    (limit,) = limits.of("1303-00-0", "ontario")
    assert (limit.value, limit.unit) == (0.0003, "mg/m3")


def test_vapours_come_in_ppm() -> None:
    """Examples of the package's documentation: acetone STEL 750 ppm, acetaldehyde ceiling 25 ppm."""
    assert ("STEL", 750.0, "ppm") in [(x.basis, x.value, x.unit) for x in limits.of("67-64-1", "ontario")]
    assert [(x.basis, x.value, x.unit) for x in limits.of("75-07-0", "ontario")] == [("C", 25.0, "ppm")]


def test_keys_that_begin_with_a_blank_are_found() -> None:
    assert limits.of("156-59-2", "ontario")[0].value == 200.0


def test_two_elements_in_one_name_are_not_converted() -> None:
    """Lead chromate, "as Pb … as Cr": the value is taken for the whole substance, the cautious side."""
    for limit in limits.of("7758-97-6", "ontario"):
        assert own_mass_concentration(limit) == limit.value


@pytest.mark.parametrize("cas", ["67-64-1", "108-88-3", "7664-93-9"])
def test_list_and_edition_are_named(cas: str) -> None:
    for limit in limits.of(cas, "ontario"):
        assert limit.list == "ontario"
        assert "chemicals" in limit.edition
        assert limit.source == "ontario-chemicals"


def test_absent_is_empty() -> None:
    assert limits.of("50-99-7", "ontario") == ()  # glucose


def test_the_edition_names_the_installed_package() -> None:
    from importlib.metadata import version

    edition = next(item.edition for item in limits.lists() if item.key == "ontario")
    assert edition.endswith(f" {version('chemicals')}")
