"""Saturation pressures against handbooks and NIOSH's Pocket Guide; each number names its origin."""

import csv
import math
import os
import re
import statistics
from pathlib import Path

import pytest

from stillroom.sources import Missing, Origin, Sourced, bibliography
from stillroom.substances.properties import (
    fugacity_ratio,
    grain,
    heat_of_vaporisation,
    is_involatile,
    phase,
    properties,
    saturation_pressure,
    simpol_bound,
)
from stillroom.substances.properties.curves import liquid_curves, pick, solid_curves
from stillroom.substances.properties.involatile import BOUND, salt_kind
from stillroom.substances.properties.tables import identity

FOLDER = os.environ.get("STILLROOM_REFERENCE", "")
needs_reference = pytest.mark.skipif(
    not FOLDER, reason="STILLROOM_REFERENCE does not name the reference folder"
)
MMHG = 133.322387415


def pascals(cas: str, temperature: float = 298.15) -> float:
    found = saturation_pressure(cas, temperature=temperature)
    assert isinstance(found, Sourced), found
    return found.value


@pytest.mark.parametrize(
    ("cas", "expected", "relative", "origin"),
    [
        # CRC Handbook, "Vapor pressure" (95th ed.), kPa at 25 °C, printed to three figures: 2 %
        # for the last figure
        # and the spread of the correlations.
        ("108-88-3", 3.79e3, 0.02, "CRC Handbook: toluene 3.79 kPa"),
        ("67-64-1", 30.8e3, 0.02, "CRC Handbook: acetone 30.8 kPa"),
        ("67-56-1", 16.9e3, 0.02, "CRC Handbook: methanol 16.9 kPa"),
        ("71-43-2", 12.7e3, 0.02, "CRC Handbook: benzene 12.7 kPa"),
        ("60-29-7", 71.7e3, 0.02, "CRC Handbook: diethyl ether 71.7 kPa"),
        ("75-09-2", 58.2e3, 0.02, "CRC Handbook: dichloromethane 58.2 kPa"),
        ("7732-18-5", 3169.9, 0.01, "CRC Handbook, water: 3.1699 kPa"),
        # Huber, Laesecke & Friend 2006 (NIST): mercury 0.26 Pa at 25 °C, 2 %.
        ("7439-97-6", 0.263, 0.02, "Huber et al. 2006"),
        # Solids: the subcooled liquid would be 181 Pa (iodine), 37 Pa (naphthalene).
        ("7553-56-2", 41.0, 0.03, "NIST, Gillespie & Fraser 1936: iodine 0.031 kPa at 20 °C, 41 Pa at 25 °C"),
        (
            "91-20-3",
            11.0,
            0.05,
            "Ambrose, Lawrenson & Sprake 1975: naphthalene 10.9 Pa at 25 °C, 5 % for 12 K beyond",
        ),
        ("108-95-2", 47.0, 0.10, "from memory: phenol about 0.35 mmHg at 25 °C"),
        ("106-46-7", 135.0, 0.15, "from memory: p-dichlorobenzene about 1.0 mmHg at 25 °C"),
        ("92-52-4", 1.2, 0.20, "from memory: biphenyl about 0.009 mmHg at 25 °C"),
        (
            "65-85-0",
            0.11,
            0.25,
            "Ribeiro da Silva et al. 2006 (benzoic acid standard): 0.11 Pa at 25 °C; from memory",
        ),
        # ammonium chloride from the Gibbs energies of Wagman et al. 1982: 2e-3 Pa in all; factor
        # 3 for 196 K beyond
        ("12125-02-9", 2e-3, 2.0, "Wagman et al. 1982"),
    ],
)
def test_handbook_values(cas: str, expected: float, relative: float, origin: str) -> None:
    assert pascals(cas) == pytest.approx(expected, rel=relative), origin


def test_camphor_is_volatile_although_it_melts_at_179_C() -> None:
    # NIOSH Pocket Guide: 0.2 mmHg at 68 °F. Walden's rule fails for such round molecules: it would
    # give 1.5 Pa.
    assert pascals("76-22-2", 293.15) == pytest.approx(0.2 * MMHG, rel=1e-6)


def test_osmium_tetroxide_moved_to_20_C_lies_near_the_pocket_guide() -> None:
    # Pocket Guide: 7 mmHg at 68 °F, printed to one figure; 15 %.
    assert pascals("20816-12-0", 293.15) == pytest.approx(7 * MMHG, rel=0.15)


def test_sulphuric_acid_is_nearly_involatile_but_not_nothing() -> None:
    # Ayers, Gillett & Gras 1980; order of magnitude 1e-3 Pa. CRC: 1 mmHg at 145.8 °C (from memory),
    # far continued.
    assert 5e-4 < pascals("7664-93-9", 295.15) < 6e-3
    assert pascals("7664-93-9", 145.8 + 273.15) == pytest.approx(MMHG, rel=0.8)


@pytest.mark.parametrize(
    "cas",
    [
        "7647-14-5",
        "1310-73-2",
        "7778-50-9",
        "7758-97-6",
        "7761-88-8",
        "13463-67-7",
        "7631-86-9",
        "57-50-1",
        "60-00-4",
        "61-73-4",
        "139-33-3",
        "151-21-3",
        "77-09-8",
    ],
)
def test_salts_sugar_and_dyes_are_known_to_be_involatile(cas: str) -> None:
    found = saturation_pressure(cas, temperature=295.15)
    assert isinstance(found, Sourced)
    assert found.value == BOUND
    assert found.origin is Origin.ESTIMATED
    assert is_involatile(found)


@pytest.mark.parametrize(
    ("cas", "at_least"),
    [
        ("13463-39-3", 3e4),  # nickel carbonyl: NPG 315 mmHg at 20 °C
        ("1066-33-7", 3e3),  # ammonium bicarbonate: 59 mmHg at 25 °C (from memory)
        ("546-68-9", 1.0),  # titanium isopropoxide distils
        ("631-61-8", 1.0),  # ammonium acetate parts into ammonia and acetic acid
        ("7487-94-7", 1e-4),  # mercuric chloride sublimes
    ],
)
def test_compounds_of_metals_and_ammonia_that_do_evaporate(cas: str, at_least: float) -> None:
    found = saturation_pressure(cas, temperature=298.15)
    assert isinstance(found, Sourced)
    assert found.value >= at_least
    assert not is_involatile(found)


@pytest.mark.parametrize("cas", ["1333-74-0", "630-08-0", "74-82-8", "10102-43-9"])
def test_gases_above_their_critical_point_have_no_saturation(cas: str) -> None:
    found = properties(cas)
    assert found.phase == "gas"
    assert isinstance(found.saturation_pressure, Missing)
    assert "critical" in found.saturation_pressure.reason


def test_a_gas_below_its_critical_point_keeps_its_pressure_above_one_atmosphere() -> None:
    # CRC Handbook: ammonia 1003 kPa at 25 °C; 1 %.
    assert pascals("7664-41-7") == pytest.approx(1.003e6, rel=0.01)
    assert phase("7664-41-7", temperature=298.15) == "gas"


def test_unknown_is_missing_with_a_reason_everywhere() -> None:
    found = properties("9005-84-9")  # soluble starch: no formula anywhere
    assert isinstance(found.saturation_pressure, Missing)
    assert isinstance(found.molar_mass, Missing)
    assert found.phase == "unknown"
    for missing in (found.boiling_point, found.liquid_density, found.diffusivity_in_air):
        assert isinstance(missing, Missing)
        assert "9005-84-9" in missing.reason


def test_ammonium_salts_of_no_published_pressure_stay_unknown() -> None:
    assert isinstance(saturation_pressure("12125-01-8", temperature=295.15), Missing)  # ammonium fluoride


def test_the_first_substance_asked_for_may_be_a_solid() -> None:
    # The package loads its sublimation tables only when others are asked for: this must not depend on
    # the order.
    assert solid_curves("7553-56-2")


def test_the_middle_curve_is_picked_and_none_is_mixed() -> None:
    curves = liquid_curves("108-88-3")
    found = pick(curves, temperature=298.15)
    assert found is not None
    values = [curve.pressure(298.15) for curve in curves if curve.covers(298.15)]
    assert found[1] in values
    assert min(values) < found[1] < max(values)
    assert found[2] == pytest.approx(max(values) / min(values), rel=1e-12)  # algebra


def test_boiling_point_and_pressure_agree_across_fields() -> None:
    # p(Tb) = 1 atm within 5 % for solvents (definition; two books at a time).
    for cas in ("108-88-3", "67-64-1", "64-17-5", "141-78-6", "110-54-3", "108-90-7", "75-05-8", "67-68-5"):
        boiling = properties(cas).boiling_point
        assert isinstance(boiling, Sourced)
        found = pick(liquid_curves(cas), temperature=boiling.value)
        assert found is not None
        assert found[1] == pytest.approx(101325, rel=0.05), cas


def test_grain_gives_one_atmosphere_at_the_boiling_point_and_is_within_its_spread() -> None:
    assert grain(383.75, boiling_point=383.75) == pytest.approx(101325, rel=1e-9)  # algebra: the bracket is 0
    # The method's stated spread above 100 Pa is a factor of 1.5. CRC Handbook: acetone 30.8,
    # chlorobenzene 1.6 kPa.
    assert 30.8e3 / 1.5 < grain(298.15, boiling_point=329.2) < 30.8e3 * 1.5
    assert 1.6e3 / 1.5 < grain(298.15, boiling_point=404.9) < 1.6e3 * 1.5


def test_fugacity_ratio_of_naphthalene() -> None:
    # Solid 10.9 Pa, subcooled liquid 37 Pa (from memory); 5 % for the heat capacity left out.
    ratio = fugacity_ratio(298.15, melting_point=353.4, heat_of_fusion=19010.0)
    assert ratio == pytest.approx(10.9 / 37, rel=0.05)
    assert fugacity_ratio(360.0, melting_point=353.4) == 1.0


def test_structure_bound_is_above_the_measured_pressure() -> None:
    # glycerol 0.02 Pa, phenol 47 Pa, adipic acid about 1e-5 Pa, caffeine about 3e-5 Pa at 25 °C (from memory)
    for smiles, measured in (("OCC(O)CO", 0.02), ("Oc1ccccc1", 47.0), ("OC(=O)CCCCC(=O)O", 1e-5)):
        bound = simpol_bound(smiles)
        assert bound is not None
        assert measured < bound
    assert simpol_bound("") is None


@pytest.mark.parametrize(
    ("cas", "kilojoules"),
    # CRC Handbook, enthalpy of vaporisation at 25 °C; 3 % (vapour taken as ideal). Iodine: sublimation, 62.4.
    [("108-88-3", 38.01), ("64-17-5", 42.32), ("67-64-1", 30.99), ("110-54-3", 31.56), ("7553-56-2", 62.4)],
)
def test_heat_of_vaporisation(cas: str, kilojoules: float) -> None:
    found = heat_of_vaporisation(cas, temperature=298.15)
    assert isinstance(found, Sourced)
    assert found.value / 1e3 == pytest.approx(kilojoules, rel=0.03)


@pytest.mark.parametrize(
    ("smiles", "kind"),
    [
        ("[Na+].[Cl-]", "metal"),
        ("[O-][Cr](=O)(=O)[O-].[Pb+2]", "other metal"),
        ("[NH4+].[Cl-]", "protonated"),
        ("C[N+](C)(C)C.[Br-]", "quaternary"),
        ("[O-2].[O-2].[O-2].[As+3].[As+3]", ""),
        ("N#[N+][O-]", ""),
        ("[C-]#[O+].[C-]#[O+].[C-]#[O+].[C-]#[O+].[Ni]", ""),
        ("C[N+](=O)[O-]", ""),
    ],
)
def test_kind_of_salt(smiles: str, kind: str) -> None:
    assert salt_kind(smiles) == kind


def test_every_source_is_in_the_bibliography() -> None:
    known = bibliography()
    for cas in (
        "108-88-3",
        "7553-56-2",
        "76-22-2",
        "7664-93-9",
        "7647-14-5",
        "57-50-1",
        "110-18-9",
        "7439-97-6",
        "12125-02-9",
        "631-61-8",
        "111-30-8",
        "61-73-4",
        "67-66-3",
    ):
        found = properties(cas)
        for name in found.__dataclass_fields__:
            value = getattr(found, name)
            if isinstance(value, Sourced):
                assert value.source in known, (cas, name, value.source)


# Rows of the Pocket Guide from 0.1 mmHg upwards that lie beyond a factor of 1.5, with the reason.
FROM_THE_PRINT = "the print is far from other handbooks"
SOLID_OR_LIQUID = "the print is the liquid's value or at another temperature, ours the solid's at 20 °C"
EXCEPTIONS = {
    "96-45-7": FROM_THE_PRINT,  # 16 mmHg for a solid that melts at 203 °C
    "136-78-7": "a sodium salt: the print's 0.1 mmHg cannot be its own",
    "112-55-0": FROM_THE_PRINT,  # 3 mmHg for dodecanethiol, which boils at 277 °C
    "2917-26-2": FROM_THE_PRINT,
    "111-88-6": FROM_THE_PRINT,
    "68-11-1": FROM_THE_PRINT,  # thioglycolic acid boils at 220 °C
    "111-30-8": "the print is a solution's, mostly water",
    "123-51-3": FROM_THE_PRINT,  # isoamyl alcohol 28 mmHg; 2 mmHg elsewhere
    "6032-29-7": "the row is sec-isoamyl alcohol, the number 2-pentanol's",
    "504-29-0": "ours from the boiling point",
    "94-75-7": "at 320 °F; ours a structure's estimate",
    "91-59-8": "at 226 °F; ours continued from 58 K away",
    "100-00-5": SOLID_OR_LIQUID,
    "99-99-0": SOLID_OR_LIQUID,
    "106-46-7": SOLID_OR_LIQUID,
    "108-93-0": SOLID_OR_LIQUID,
    "108-95-2": SOLID_OR_LIQUID,
    "67-72-1": SOLID_OR_LIQUID,
    "10026-13-8": "ours continued from 28 K away",
    "96-12-8": "ours from the boiling point",
    "102-81-8": "ours from the boiling point",
    "1321-74-0": "ours from the boiling point",
    "107-20-0": "ours from the boiling point; the print is the hydrate's",
    "100-74-3": "ours from the boiling point",
    "106-87-6": "ours from the boiling point",
    "594-72-9": "ours from the boiling point",
    "105-46-4": "ours from the boiling point; the print is low",
    "107-16-4": "ours from the boiling point",
    "1314-80-3": "ours from the boiling point, at 572 °F",
    "120-82-1": "the print is high: 0.3 mmHg elsewhere",
    "1569-69-3": "the print is high",
    "98-82-8": "the print is high: cumene 4.5 mmHg at 25 °C elsewhere",
    "108-94-1": "the print is high: cyclohexanone 3–4 mmHg elsewhere",
    "121-69-7": "the print is high: 0.5 mmHg elsewhere",
    "77-78-1": "the print is low: dimethyl sulphate 0.5 mmHg elsewhere",
    "87-68-3": "ours continued from 50 K away",
    "111-40-0": "ours continued from 78 K away",
    "138-22-7": "ours continued from 20 K away",
    "141-43-5": "ours continued from 45 K away",
    "7722-84-1": "the print is high: Schumb 1955 has 2.8 mmHg at 30 °C",
    "681-84-5": "ours continued from 66 K away",
    "121-45-9": "ours continued from 124 K away",
    "127-19-5": "ours continued from 10 K away",
    "16219-75-3": "ours continued from 50 K away",
    "110-49-6": "ours continued from 50 K away",
    "108-11-2": "the print is low",
    "88-89-1": "at 383 °F, near its explosion",
    "556-52-5": "the print is low",
    "137-05-3": "ours continued from 15 K away",
    "99-08-1": "the print is rounded to 0.1 mmHg",
}


def pocket_guide() -> list[tuple[str, str, float, float]]:
    """Name, CAS, temperature [K], pressure [Pa] of the rows with a number and a substance that we know."""
    rows = []
    with (Path(FOLDER) / "niosh_pocket_guide.csv").open(encoding="utf-8") as file:
        for entry in csv.DictReader(file):
            match = re.match(r"(?:\((\d+)°F\):\s*)?([\d.]+)\s*(mmHg|atm)", entry["vp_text"])
            if match and entry["cas"] and float(match[2]) > 0 and identity(entry["cas"]):
                kelvin = (float(match[1] or 68) - 32) / 1.8 + 273.15
                unit = MMHG if match[3] == "mmHg" else 101325.0
                rows.append((entry["name"], entry["cas"], kelvin, float(match[2]) * unit))
    return rows


@needs_reference
def test_sweep_against_the_pocket_guide() -> None:
    """Every row of the Pocket Guide that we have; the exceptions beyond a factor of 1.5 are named above."""
    volatile, faint, beyond = [], [], set()
    for name, cas, kelvin, printed in pocket_guide():
        found = saturation_pressure(cas, temperature=kelvin)
        if isinstance(found, Missing):
            assert cas in {"10102-43-9", "19287-45-7"}, (
                name
            )  # nitric oxide, diborane: above the critical point
            continue
        distance = abs(math.log(found.value / printed))
        (volatile if printed >= 0.1 * MMHG else faint).append(distance)
        if distance > math.log(1.5) and printed >= 0.1 * MMHG:
            beyond.add(cas)
    assert len(volatile) > 320
    # Printed to one or two figures: 5 % is a rounding. Below 0.1 mmHg measurements themselves scatter
    # by factors.
    assert statistics.median(volatile) < 0.07
    assert len(faint) > 50
    assert statistics.median(faint) < math.log(4)
    assert beyond == set(EXCEPTIONS)


@needs_reference
def test_the_pocket_guides_xylenes_are_high() -> None:
    # Known: the print's xylene pressures are about 40 % above the correlations (ours: CRC, 0.88 kPa
    # at 25 °C o-xylene).
    printed = {cas: pressure for _, cas, _, pressure in pocket_guide()}
    for cas in ("95-47-6", "108-38-3", "106-42-3"):
        assert 1.2 < printed[cas] / pascals(cas, 293.15) < 1.5


# Boiling points beyond 10 K of the Pocket Guide's (plain ones below 400 °C), with the reason.
BOILING_EXCEPTIONS = {
    "75-86-5": "it parts before it boils",
    "89-72-5": "the print is at reduced pressure (228 °C elsewhere)",
    "108-83-8": "a mixture of isomers",
    "79-44-7": "the print is high",
    "534-52-1": "the package's is at reduced pressure; a solid without a vapour to speak of",
    "111-30-8": "the print is a solution's, mostly water",
    "58-89-9": "a solid that decomposes",
    "150-76-5": "a solid; two handbooks differ",
    "101-68-8": "ours an estimate of yaws-2014, 22 K high",
    "101-77-9": "a solid; two handbooks differ",
    "7664-38-2": "the print is the loss of water",
    "7664-93-9": "the print is that of fuming acid or where it decomposes",
    "7783-79-1": "it sublimes",
}


@needs_reference
def test_boiling_points_against_the_pocket_guide() -> None:
    """A package's slip (a boiling point at reduced pressure, another substance's) would stand out; 10 K: two handbooks."""
    compared, beyond = 0, {}
    with (Path(FOLDER) / "niosh_pocket_guide.csv").open(encoding="utf-8") as file:
        for entry in csv.DictReader(file):
            match = re.fullmatch(r"(-?\d+)°F", entry["bp_text"])
            if not match or not identity(entry["cas"]):
                continue
            kelvin = (float(match[1]) - 32) / 1.8 + 273.15
            found = properties(entry["cas"]).boiling_point
            if isinstance(found, Sourced) and kelvin < 673:
                compared += 1
                if abs(found.value - kelvin) > 10:
                    beyond[entry["cas"]] = (entry["name"], round(found.value), round(kelvin))
    assert compared > 300
    assert set(beyond) == set(BOILING_EXCEPTIONS), beyond


def test_allyl_alcohol_and_what_the_package_has_wrong() -> None:
    """NIOSH Pocket Guide: allyl alcohol 17 mmHg at 20 °C; MEK peroxide decomposes at 244 °F and is no gas at 19 °C."""
    assert pascals("107-18-6", 293.15) == pytest.approx(17 * MMHG, rel=0.01)
    assert pascals("107-18-6", 295.15) == pytest.approx(2590, rel=0.01)  # moved by 46 kJ/mol
    assert phase("1338-23-4", temperature=295.15) != "gas"
    assert phase("5714-22-7", temperature=295.15) == "liquid"


def test_deuterated_solvents_stand_on_their_parents() -> None:
    """Chloroform-d boils at 61 °C (the package has 0 °C); densities by their data sheets: CDCl3 1.50, C6D6 0.950 g/cm³."""
    known = properties("865-49-6")
    assert known.phase == "liquid"
    assert known.boiling_point.value == pytest.approx(334.3, abs=0.5)  # type: ignore[union-attr]
    assert known.saturation_pressure.origin is Origin.ESTIMATED  # type: ignore[union-attr]
    assert "estimated from the parent, chloroform" in known.saturation_pressure.note  # type: ignore[union-attr]
    assert known.liquid_density.value == pytest.approx(1500, rel=0.01)  # type: ignore[union-attr]
    assert properties("1076-43-3", temperature=298.15).liquid_density.value == pytest.approx(950, abs=10)  # type: ignore[union-attr]


def test_deuterated_solvents_have_their_parents_hazards() -> None:
    from stillroom.substances import hazards

    assert hazards("865-49-6").admission == hazards("67-66-3").admission == "ordinary"
    assert hazards("1693-74-9").peroxide_former  # THF-d8
    assert hazards("7698-05-7").admission == "refused"  # deuterium chloride
