"""CASE.toml: what it means, and what is wrong with one."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest

from stillroom import bed
from stillroom.bed.transport import Langmuir, parse
from stillroom.errors import CannotTell, InputError
from stillroom.media.tables import Tables

ROOT = Path(__file__).parents[3]
LANGMUIR = """
[bed]
depth_m = 0.05
area_m2 = 0.25
bulk_density_kg_m3 = 480
[air]
flow_m3_h = 180
temperature_C = 22
[medium]
law = "langmuir"
[[vapour]]
cas = "108-88-3"
inlet = [[1, 1000], [5, 0]]
q_max_mol_kg = 3
b_per_Pa = 0.05
rate_per_s = 40
[run]
until_h = 10
"""
MEDIUM = LANGMUIR.replace('law = "langmuir"', 'name = "coconut"').replace(
    "q_max_mol_kg = 3\nb_per_Pa = 0.05\nrate_per_s = 40\n", ""
)
GRAIN = MEDIUM.replace("area_m2", "grain_diameter_m = 0.0015\narea_m2")


def read(text: str) -> bed.Problem:
    return parse(tomllib.loads(text), file_name="case.toml")


def test_units_and_pieces():
    problem = read(LANGMUIR)
    assert problem.vapours == ("108-88-3",)
    assert problem.times.tolist() == [0.0, 3600.0, 18000.0, 36000.0]
    # 1000 ppm at 22 °C and 101325 Pa: 1e-3·p/(RT)
    np.testing.assert_allclose(
        problem.inlet[:, 0], [0.0, 1e-3 * 101325 / (8.314462618 * 295.15), 0.0], rtol=1e-8
    )
    assert problem.flow.tolist() == [0.05] * 3
    (layer,) = problem.layers
    assert isinstance(layer.laws[0], Langmuir)
    assert layer.rates.tolist() == [[40.0]]
    assert problem.fractions == (0.01, 0.10)


def test_a_linear_law():
    text = LANGMUIR.replace('"langmuir"', '"linear"').replace(
        "q_max_mol_kg = 3\nb_per_Pa = 0.05", "henry_mol_kg_Pa = 0.01"
    )
    assert bed.simulate(read(text)).mass_balance_error < 1e-10


def test_a_medium_by_name_has_tables_and_computed_rates():
    (layer,) = read(GRAIN).layers
    assert isinstance(layer.laws[0], Tables)
    # toluene at 1000 ppm, 1.5 mm, 20 cm/s: the correlation's own example says 130/s, the film no more than 85/s
    assert 20.0 < layer.rates[0, 0] < 130.0
    given = read(MEDIUM.replace("inlet =", "rate_per_s = 7\ninlet ="))
    assert given.layers[0].rates.tolist() == [[7.0]]


def test_what_the_middle_of_a_medium_holds_is_what_assessments_take():
    """2001 draws of the same bed by `Stack`: the middle of what is held at last, alone at its inlet."""
    from stillroom import media
    from stillroom.substances import properties

    case = read(GRAIN.replace("[[1, 1000], [5, 0]]", "[[0, 100]]").replace("until_h = 10", "until_h = 2000"))
    held = bed.simulate(case).held[0]
    stack = media.FilterStack(
        None, (media.Bed(media.load("coconut"), 6.0, 0.25),), media.default_seal_bypass()
    )
    drawn = bed.Stack.draw(
        stack, [bed.Vapour(properties("108-88-3", temperature=295.15))], flow=0.05, temperature=295.15,
        pressure=101325.0, relative_humidity=0.0, rng=np.random.default_rng(3), size=2001,
    )  # fmt: skip
    there = drawn.held([2000.0 * 3600.0], np.full((1, 2001), case.inlet.max()))
    assert held == pytest.approx(np.median(there), rel=0.02)  # the middle of 2001 draws


def test_a_medium_file_lies_beside_the_case(tmp_path):
    source = ROOT / "src" / "stillroom" / "media" / "data" / "coal.toml"
    (tmp_path / "ours.toml").write_text(source.read_text("utf-8").replace('"coal"', '"ours"'), "utf-8")
    (tmp_path / "case.toml").write_text(GRAIN.replace('name = "coconut"', 'file = "ours.toml"'), "utf-8")
    (tmp_path / "same.toml").write_text(GRAIN.replace('"coconut"', '"coal"'), "utf-8")
    one, other = (bed.load(tmp_path / name).layers[0] for name in ("case.toml", "same.toml"))
    np.testing.assert_array_equal(one.laws[0].values, other.laws[0].values)


def test_layers_of_different_media_and_air_that_changes():
    text = GRAIN.replace("[bed]", "[[bed]]").replace(
        "[air]",
        "[[bed]]\ndepth_m = 0.02\narea_m2 = 0.25\nbulk_density_kg_m3 = 500\ngrain_diameter_m = 0.002\n"
        'medium = { name = "coal" }\n[air]',
    )
    text = text.replace(
        "temperature_C = 22", "temperature_C = [[0, 20], [6, 35]]\nrelative_humidity = [[0, 0.3], [6, 0.7]]"
    )
    problem = read(text)
    assert problem.times.tolist() == [3600.0 * hour for hour in (0, 1, 5, 6, 10)]
    assert problem.state == (0, 0, 0, 1)
    assert problem.temperature.tolist() == pytest.approx([293.15] * 3 + [308.15])
    assert [len(layer.laws) for layer in problem.layers] == [2, 2]
    curve = bed.simulate(problem)
    assert curve.mass_balance_error < 1e-10
    # the same moles are more ppm in warm air, and humid warm carbon holds less: something comes off
    assert curve.outlet[-1, 0] > 0.0


@pytest.mark.parametrize(
    ("old", "new", "place", "words"),
    [
        ("depth_m = 0.05", "", "bed.depth_m", "Add it"),
        ("depth_m = 0.05", "depth_m = -1", "bed.depth_m", "greater than 0"),
        ("depth_m = 0.05", "deepth_m = 0.05", "bed.deepth_m", "spelling"),
        ("temperature_C = 22", "temperature_C = 295", "air.temperature_C", "unit"),
        ("temperature_C = 22", "temperature_C = [[0, 20], [5, 30]]", "air.temperature_C", "one temperature"),
        ("flow_m3_h = 180", "flow_m3_h = nan", "air.flow_m3_h", ""),
        ("[[1, 1000], [5, 0]]", "[[5, 1000], [1, 0]]", "vapour.1.inlet", "rise"),
        ("[[1, 1000], [5, 0]]", "[[1, -3]]", "vapour.1.inlet", "outside"),
        ("[[1, 1000], [5, 0]]", "[]", "vapour.1.inlet", "row"),
        ("inlet =", "inlet_ppm = 3\ninlet =", "vapour.1", "inlet_ppm"),
        ("rate_per_s = 40", "", "vapour.1.rate_per_s", "Add it"),
        ("b_per_Pa = 0.05", "", "vapour.1.b_per_Pa", "Add it"),
        ('law = "langmuir"', 'name = "coconut"', "vapour.1.q_max_mol_kg", "another law"),
        ('law = "langmuir"', 'law = "freundlich"', "medium.law", "langmuir"),
        ('law = "langmuir"', "", "medium", "file"),
        ('[medium]\nlaw = "langmuir"', "", "medium", "Add [medium]"),
        ("until_h = 10", "until_h = 0", "run.until_h", "greater than 0"),
        ("until_h = 10", "until_h = 10\nfractions = []", "run.fractions", "at least 1"),
    ],
)
def test_each_fault_names_its_key_and_mend(old, new, place, words):
    text = LANGMUIR.replace(old, new)
    assert text != LANGMUIR
    with pytest.raises(InputError) as caught:
        read(text)
    problems = caught.value.problems
    assert any(problem.column.startswith(place) for problem in problems), problems
    assert words in str(caught.value)
    assert all(problem.mend and problem.file == "case.toml" for problem in problems)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        (MEDIUM, "bed.grain_diameter_m"),
        (GRAIN.replace("108-88-3", "108-88-4"), "vapour.1.cas"),
        (GRAIN.replace("coconut", "coconuts"), "medium.name"),
        (GRAIN.replace("[run]", '[[vapour]]\ncas = "108-88-3"\ninlet_ppm = 1\n[run]'), "vapour.2.cas"),
    ],
)
def test_faults_that_a_medium_brings(text, place):
    with pytest.raises(InputError) as caught:
        read(text)
    assert [problem.column for problem in caught.value.problems] == [place]


def test_a_vapour_of_which_nothing_is_known():
    with pytest.raises(CannotTell, match="not known"):
        read(GRAIN.replace("108-88-3", "7440-59-7"))  # helium: no liquid at room temperature


def test_a_medium_file_that_is_not_there(tmp_path):
    (tmp_path / "case.toml").write_text(GRAIN.replace('name = "coconut"', 'file = "no.toml"'), "utf-8")
    with pytest.raises(InputError, match=r"no\.toml"):
        bed.load(tmp_path / "case.toml")


IMPREGNATED = GRAIN.replace('name = "coconut"', 'name = "impregnated-ammonia"').replace(
    "108-88-3", "7664-41-7"
)


def test_a_mediums_impregnation_takes_its_family_up_for_good():
    """Ammonia and dimethylamine share the acid's stock, mole by mole; plain carbon is not credited with either."""
    second = (
        '[[vapour]]\ncas = "124-40-3"\ninlet_ppm = 10\n[[vapour]]\ncas = "108-88-3"\ninlet_ppm = 10\n[run]'
    )
    problem = read(IMPREGNATED.replace("[run]", second))
    (layer,) = problem.layers
    assert problem.families == ("ammonia", "ammonia", "")
    assert layer.stock is not None
    # 25 mg/g of ammonia in the middle, whatever the member
    np.testing.assert_allclose(layer.stock[0], [1000 * 0.025 / 17.03, 1000 * 0.025 / 17.03, 0.0], rtol=0.02)
    plain = read(GRAIN.replace("108-88-3", "7664-41-7"))
    assert plain.layers[0].rates.tolist() == [[0.0]]
    assert plain.layers[0].stock.tolist() == [[0.0]]
    curve = bed.simulate(plain)
    assert curve.held[0] == 0.0
    assert curve.breakthrough_h["7664-41-7"][0.1] == pytest.approx(1.0)  # when it comes


def test_a_stock_told_by_numbers():
    told = LANGMUIR.replace(
        "q_max_mol_kg = 3\nb_per_Pa = 0.05\n", 'stock_mol_kg = 0.5\nfamily = "acid gas"\n'
    )
    problem = read(told)
    assert problem.layers[0].stock.tolist() == [[0.5]]
    assert problem.families == ("acid gas",)


@pytest.mark.parametrize(
    ("text", "place", "word"),
    [
        (GRAIN.replace("[run]", "stock_mol_kg = 0.5\n[run]"), "vapour.1.stock_mol_kg", "own file"),
        (GRAIN.replace("[run]", 'family = "acid"\n[run]'), "vapour.1.family", "acid gas"),
        (LANGMUIR.replace("q_max_mol_kg = 3", "stock_mol_kg = -1"), "vapour.1.stock_mol_kg", ""),
    ],
)
def test_faults_of_a_stock(text, place, word):
    with pytest.raises(InputError) as caught:
        read(text)
    (problem,) = [one for one in caught.value.problems if one.column == place]
    assert word in problem.mend
