"""What stands beside a name: a stabiliser counts as nothing, another substance never does (usual catalogue names, from memory)."""

from __future__ import annotations

import pytest

from stillroom.substances import resolve

ALONE = {
    "Tetrahydrofuran (BHT)": "109-99-9",
    "THF (250 ppm BHT)": "109-99-9",
    "THF, 250 ppm BHT": "109-99-9",
    "Tetrahydrofuran (stabilised with BHT)": "109-99-9",
    "Diethyl ether (7 ppm BHT)": "60-29-7",
    "Diethyl ether (stab. with ethanol)": "60-29-7",
    "2-Methyltetrahydrofuran (150-400 ppm BHT)": "96-47-9",
    "1,4-Dioxane (BHT)": "123-91-1",
    "Chloroform (amylene)": "67-66-3",
    "Chloroform, stabilised with 0.6 % ethanol": "67-66-3",
    "Dichloromethane (50 ppm amylene)": "75-09-2",
    "DCM stabilised with amylene": "75-09-2",
    "Styrene (10-15 ppm 4-tert-butylcatechol)": "100-42-5",
    "Methyl methacrylate (MEHQ)": "80-62-6",
    "Acrylic acid (200 ppm MEHQ)": "79-10-7",
    "Acrylonitrile (35-45 ppm MEHQ)": "107-13-1",
    "Ethanol, denatured": "64-17-5",
    "BHT": "128-37-0",
}
BESIDES = (
    "Phenol (chloroform)",
    "Phenol (chloroform, isoamyl alcohol)",
    "Phenol (isoamyl alcohol and chloroform)",
    "Formaldehyde (methanol)",
    "Toluene (5 % benzene)",
    "Toluene (with mercury chloride)",
    "Toluene with 5 % methanol",
    "Ethanol (denatured with 5 % methanol)",
    "Ethanol denatured with 5 % v/v toluene",
    "Ethanol (vergällt mit 1 % MEK)",
    "Ethanol (denatured, 1 % MEK)",
    "n-Butyllithium (hexane)",
    "Tetrahydrofuran (lithium aluminium hydride)",
)


@pytest.mark.parametrize("name", ALONE)
def test_a_stabiliser_leaves_the_substance(name: str) -> None:
    found = resolve(name=name)
    assert found.substance is not None, found.reason
    assert found.substance.cas == ALONE[name]


@pytest.mark.parametrize("name", BESIDES)
def test_another_substance_is_never_left_out(name: str) -> None:
    assert resolve(name=name).substance is None


@pytest.mark.parametrize("name", ["Dichloromethane (50 ppm amylene)", "Acrylic acid (200 ppm MEHQ)"])
def test_the_share_of_a_stabiliser_is_no_strength(name: str) -> None:
    from stillroom.substances.names import take_apart

    assert take_apart(name).strength == ""
