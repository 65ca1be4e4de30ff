"""What is in a container: components and state. All inventories are invented."""

import pytest

from stillroom import inventory
from stillroom.inventory import Container


def only(name: str, amount: str = "1 L", **more: str) -> tuple[Container, str]:
    found = inventory.from_rows([{"name": name, "amount": amount, **more}], name="form")
    return found.containers[0], " ".join(found.warnings)


def fractions(container: Container) -> dict[str, float | None]:
    return {part.substance.name: part.mass_fraction for part in container.components}


@pytest.mark.parametrize(
    ("name", "amount", "expected", "state"),
    [
        ("Hydrochloric acid, ACS, 37 %", "2.5 L", {"hydrochloric acid": 0.37, "water": 0.63}, "solution"),
        ("Ethanol 70% in water", "1 L", {"ethanol": 0.7, "water": 0.3}, "solution"),
        ("Ethanol 96 %", "2.5 L", {"ethanol": 0.96, "water": 0.04}, "solution"),
        ("Ammonia solution 25 %", "1 L", {"ammonia": 0.25, "water": 0.75}, "solution"),
        ("Acetone HPLC grade", "2.5 L", {"acetone": 1.0}, "liquid"),
        ("Acetone ≥99.5 %", "2.5 L", {"acetone": 1.0}, "liquid"),
        ("glacial acetic acid", "2.5 L", {"acetic acid": 1.0}, "liquid"),
        ("Sodium hydroxide pellets", "1 kg", {"sodium hydroxide": 1.0}, "solid"),
        ("NaOH 98 %", "1 kg", {"sodium hydroxide": 1.0}, "solid"),
        ("NaOH 50 %", "1 L", {"sodium hydroxide": 0.5, "water": 0.5}, "solution"),
        ("Copper sulfate pentahydrate", "500 g", {"copper sulfate pentahydrate": 1.0}, "solid"),
        ("Osmium tetroxide 4 % aqueous", "5 mL", {"osmium tetroxide": 0.04, "water": 0.96}, "solution"),
        ("Phenolphthalein 1 % in ethanol", "1 L", {"phenolphthalein": 0.01, "ethanol": 0.99}, "solution"),
        (
            "Sodium hydride 60 % in mineral oil",
            "25 g",
            {"sodium hydride": 0.6, "white mineral oil": 0.4},
            "solid",
        ),
        ("Benzoyl peroxide 75 %", "100 g", {"benzoyl peroxide": 0.75}, "solid"),
        ("Mercury", "250 g", {"mercury": 1.0}, "liquid"),
        ("Butane", "500 mL", {"butane": 1.0}, "gas"),
        ("White spirit", "1 L", {"white spirit": 1.0}, "liquid"),
        ("Silica gel", "1 kg", {"silica gel": 1.0}, "solid"),
        (
            "Lead 1000 mg/L in 2 % HNO3",
            "1 L",
            {"lead": 0.001, "nitric acid": 0.02, "water": 0.979},
            "solution",
        ),
        ("Picric acid, wetted with ≥30 % water", "100 g", {"picric acid": 1.0}, "solid"),
    ],
)
def test_components(name: str, amount: str, expected: dict[str, float], state: str) -> None:
    container, _ = only(name, amount)
    assert container.known, container.unknown_reason
    assert fractions(container) == pytest.approx(
        expected, rel=0.01
    )  # mg/L against water of 0.998 g/mL, and rounding
    assert container.state == state
    if len(expected) > 1:
        assert sum(value or 0.0 for value in fractions(container).values()) == pytest.approx(1.0, abs=1e-9)


# The usual concentrated strengths: common practice, no source.
@pytest.mark.parametrize(
    ("name", "cas", "first", "usual"),
    [
        ("hydrochloric acid", "", "hydrochloric acid", 0.37),
        ("muriatic acid", "", "hydrochloric acid", 0.37),
        ("", "7647-01-0", "hydrochloric acid", 0.37),
        ("conc. sulfuric acid", "", "sulfuric acid", 0.98),
        ("nitric acid", "", "nitric acid", 0.70),
        ("dilute nitric acid", "", "nitric acid", 0.70),
        ("Ammonia", "", "ammonia", 0.28),
        ("Ammonium hydroxide", "1336-21-6", "ammonia", 0.28),
        ("hydrogen peroxide", "7722-84-1", "hydrogen peroxide", 0.30),
        ("hydrofluoric acid", "", "hydrofluoric acid", 0.48),
        ("Perchloric acid", "", "perchloric acid", 0.70),
        ("methylamine solution", "", "methylamine", 0.40),
    ],
)
def test_a_bare_name_that_means_a_solution_is_never_the_pure_gas(name, cas, first, usual) -> None:
    container, warnings = only(name, cas=cas)
    assert fractions(container) == pytest.approx({first: usual, "water": 1 - usual}, abs=1e-12)
    assert container.state == "solution"
    assert "usual concentrated" in warnings
    assert "write the strength" in warnings


@pytest.mark.parametrize(
    "more", [{"state": "gas"}, {"container": "gas cylinder"}, {"container": "lecture bottle"}]
)
@pytest.mark.parametrize("name", ["Ammonia", "hydrogen chloride", "Hydrogen", "Formaldehyde"])
def test_a_gas_stays_a_gas(name: str, more: dict[str, str]) -> None:
    container, _ = only(name, "10 L", **more)
    assert container.state == "gas"
    assert [part.mass_fraction for part in container.components] == [1.0]


def test_hydrogen_chloride_is_the_gas() -> None:
    container, _ = only("Hydrogen chloride")
    assert (container.state, len(container.components)) == ("gas", 1)


# Formalin: 37 % formaldehyde by mass with 10 to 15 % methanol (NIOSH Pocket Guide, Formaldehyde and Formalin entries);
# "10 % formalin" is a tenth of that by dilution (histology's usage: common practice, no source).
@pytest.mark.parametrize(
    ("name", "aldehyde", "methanol"),
    [
        ("Formalin", 0.37, 0.15),
        ("formaldehyde solution", 0.37, 0.15),
        ("Formaldehyde 37 %", 0.37, 0.15),
        ("10 % neutral buffered formalin", 0.037, 0.015),
        ("Neutral buffered formalin", 0.037, 0.015),
        ("Formalin 5 %", 0.0185, 0.0075),
    ],
)
def test_formalin(name: str, aldehyde: float, methanol: float) -> None:
    container, warnings = only(name)
    expected = {"formaldehyde": aldehyde, "water": 1 - aldehyde - methanol, "methanol": methanol}
    assert fractions(container) == pytest.approx(expected, rel=1e-9)
    assert container.components[0].substance.name == "formaldehyde"
    assert "counted as a solution" in warnings


def test_dilute_formaldehyde_is_not_formalin() -> None:
    assert fractions(only("Formaldehyde 4 %")[0]) == pytest.approx({"formaldehyde": 0.04, "water": 0.96})
    assert fractions(only("Formaldehyde 37 %, methanol-free")[0]) == pytest.approx(
        {"formaldehyde": 0.37, "water": 0.63}
    )


def test_the_concentration_column_goes_before_the_name() -> None:
    container, _ = only("Hydrochloric acid", concentration="10 %")
    assert fractions(container)["hydrochloric acid"] == pytest.approx(0.1)
    assert container.concentration == "10 %"
    container, _ = only("n-Butyllithium", "100 mL", concentration="2.5 M in hexanes")
    # arithmetic: 2.5 mol/L × 64.06 g/mol over hexane's 659 g/L (CRC Handbook, 20 °C); 1 % for the density's temperature
    assert fractions(container)["n-butyllithium"] == pytest.approx(2.5 * 64.06 / 659, rel=0.01)
    assert fractions(only("Acetone", concentration="pure")[0]) == {"acetone": 1.0}


@pytest.mark.parametrize("name", ["Phenolphthalein 1 %", "Toluene 50 %", "n-Butyllithium 2.5 M", "BBr3 1 M"])
def test_a_solvent_that_is_not_named_leaves_the_contents_unknown(name: str) -> None:
    container, _ = only(name)
    assert not container.known
    assert container.unknown_reason
    assert not any(part.substance.name == "water" for part in container.components)


def test_a_solvent_that_is_not_known_leaves_the_contents_unknown() -> None:
    container, _ = only("Iodine 1 % in zorbium")
    assert not container.known
    assert "zorbium" in container.unknown_reason


def test_a_strength_that_cannot_be_told_is_none_and_said() -> None:
    container, warnings = only("saturated sodium chloride solution")
    assert container.known
    assert fractions(container) == {"sodium chloride": None, "water": None}
    assert "unknown strength" in warnings


def test_a_solid_named_as_solvent_is_dissolved_beside_it() -> None:
    container, _ = only("Iodine solution in KI")
    assert fractions(container) == {"iodine": None, "potassium iodide": None, "water": None}


def test_what_ethanol_was_denatured_with_is_said_to_be_left_out() -> None:
    assert "denatured" in only("Ethanol, denatured, 95 %")[1]


def test_the_state_column_goes_before_the_boiling_point() -> None:
    assert only("Acetaldehyde", "500 mL")[0].state == "gas"  # boils at 20.2 °C (NIOSH Pocket Guide: 69 °F)
    assert only("Acetaldehyde", "500 mL", state="liquid")[0].state == "liquid"
    assert only("Phenol", "500 g", state="liquid")[0].state == "liquid"


def test_every_container_has_its_row_as_key_and_its_words() -> None:
    container, _ = only("Toluene", "4 x 500 mL", cas="108-88-3", note="third shelf")
    assert (container.key, container.row, container.count, container.amount.text) == ("r1", 1, 4, "500 mL")
    assert (container.cas_written, container.note) == ("108-88-3", "third shelf")


def test_a_small_strength_of_formalin_is_read_as_formaldehyde_itself() -> None:
    """Common practice, no source: a "4 %" fixative is 4 % formaldehyde; the larger reading is the cautious one."""
    from stillroom.inventory import from_rows

    row = {
        "name": "Formaldehyde solution NBF",
        "cas": "50-00-0",
        "amount": "1",
        "unit": "L",
        "concentration": "4 %",
    }
    first = from_rows([row], name="invented").containers[0].components[0]
    assert first.mass_fraction is not None
    assert abs(first.mass_fraction - 0.04) < 1e-9


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("Vinegar", {"acetic acid": 0.05, "water": 0.95}),  # NIOSH Pocket Guide: 5–8 % in vinegar
        ("White vinegar", {"acetic acid": 0.05, "water": 0.95}),
        ("Limewater", {"calcium hydroxide": 0.0017, "water": 0.9983}),
        ("Bromine water", {"bromine": 0.035, "water": 0.965}),
        ("Ammonia 0.880", {"ammonia": 0.35, "water": 0.65}),
    ],
)
def test_names_that_mean_a_dilution_say_what_was_taken(name: str, expected: dict[str, float]) -> None:
    container, words = only(name)
    assert fractions(container) == pytest.approx(expected)
    assert container.state == "solution"
    assert "is counted as" in words and "write the strength" in words


def test_a_written_strength_stands_before_the_names_own() -> None:
    container, words = only("Vinegar 6 %")
    assert fractions(container) == pytest.approx({"acetic acid": 0.06, "water": 0.94})
    assert "counted as" not in words


def test_molar_in_every_spelling_in_name_and_column() -> None:
    for name, more in (("Nitric acid 1 mol/dm3", {}), ("Nitric acid, 1 mol dm⁻³", {}),
                       ("Nitric acid", {"concentration": "1 mol/dm3"}), ("Nitric acid 1 N", {})):  # fmt: skip
        container, _ = only(name, **more)
        assert fractions(container)["nitric acid"] == pytest.approx(0.0608, rel=0.01)  # 63.0 g in 1.03 kg


def test_a_reagent_in_a_solvent_counts_both() -> None:
    """1.6 mol/L of 64.06 g/mol in hexane of 659 kg/m³: 102.5 g/L, 0.156 of the mass."""
    container, _ = only("n-BuLi 1.6 M in hexanes", "100 mL")
    assert fractions(container) == pytest.approx({"n-butyllithium": 0.156, "n-hexane": 0.844}, abs=0.002)
