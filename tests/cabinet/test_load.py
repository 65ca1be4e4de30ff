"""CABINET files. What each field must be is docs/reference/cabinet.md; other origins stand beside each check."""

from __future__ import annotations

import copy
import re
import subprocess
import sys
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from stillroom import media
from stillroom.cabinet.load import load_cabinet, parse_cabinet, shipped, shipped_tables
from stillroom.errors import InputError


def tables() -> dict[str, Any]:
    return copy.deepcopy(shipped_tables("full-height"))


def problems(data: dict[str, Any]) -> dict[str, tuple[str, str]]:
    """Place to (found, mend) of every fault."""
    with pytest.raises(InputError) as caught:
        parse_cabinet(data, file_name="my.toml")
    assert all(problem.file == "my.toml" for problem in caught.value.problems)
    return {problem.column: (problem.found, problem.mend) for problem in caught.value.problems}


def test_there_are_generic_cabinets() -> None:
    assert {"full-height", "under-bench"} <= set(shipped())


@pytest.mark.parametrize("name", shipped())
def test_a_shipped_cabinet_is_possible(name: str) -> None:
    """Plain geometry: shelves lie within the case, do not overlap in height, and air fits inside the case."""
    cabinet = load_cabinet(name)
    assert 0 < cabinet.air_volume < cabinet.width * cabinet.depth * cabinet.height
    shelves = sorted((s for c in cabinet.compartments for s in c.shelves), key=lambda shelf: shelf.height)
    assert shelves
    for shelf in shelves:
        assert shelf.width <= cabinet.width and shelf.depth <= cabinet.depth
        assert shelf.height + shelf.clear_height <= cabinet.height
        if shelf.trays:
            assert shelf.tray_volume is not None
            assert shelf.tray_volume <= shelf.tray_area * shelf.clear_height
    for lower, upper in pairwise(shelves):
        side_by_side = lower.height == upper.height or lower.width + upper.width <= cabinet.width
        assert side_by_side or lower.height + lower.clear_height <= upper.height + 1e-9


@pytest.mark.parametrize("name", shipped())
def test_a_shipped_filter_has_carbon_enough_for_its_flow(name: str) -> None:
    """Residence time in the bed between 0.05 and 3 s: usual in gas-phase filters is 0.05 to 0.5 s and more for deep
    beds (common practice, no source); outside lies a slip of units.
    """
    cabinet = load_cabinet(name)
    assert cabinet.filters.beds
    for bed in cabinet.filters.beds:
        time = bed.mass / bed.medium.bulk_density.p50 / cabinet.flow
        assert 0.05 < time < 3.0


def test_flow_and_tray_come_in_si() -> None:
    """200 m³/h is 0.05556 m³/s; 8 L is 0.008 m³ (definitions)."""
    cabinet = load_cabinet("full-height")
    assert cabinet.flow == pytest.approx(200 / 3600, rel=1e-12)
    assert cabinet.compartments[0].shelves[0].tray_volume == pytest.approx(0.008, rel=1e-12)
    assert cabinet.compartments[0].shelves[0].tray_area == pytest.approx(0.9 * 0.5 / 2, rel=1e-12)


def test_every_fault_is_named_at_once_with_place_and_mend() -> None:
    data = tables()
    data["cabinet"]["flow_m3_h"] = -200
    data["cabinet"]["air_volume_m3"] = float("nan")
    data["cabinet"]["colour"] = "white"
    del data["cabinet"]["height_m"]
    data["compartment"][0]["shelf"][1]["max_load_kg"] = 0
    data["filters"]["bed"][0]["mass_kg"] = float("inf")
    found = problems(data)
    assert set(found) == {
        "cabinet.flow_m3_h",
        "cabinet.air_volume_m3",
        "cabinet.colour",
        "cabinet.height_m",
        "compartment.1.shelf.2.max_load_kg",
        "filters.bed.1.mass_kg",
    }
    assert all(mend for _, mend in found.values())
    assert found["cabinet.flow_m3_h"][0] == "-200"
    assert "spelling" in found["cabinet.colour"][1]
    assert found["cabinet.height_m"] == ("", "Add it.")


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1, 0, "wide", True, None, []])
@pytest.mark.parametrize(
    "field", ["width_m", "depth_m", "height_m", "air_volume_m3", "flow_m3_h", "max_filter_age_days"]
)
def test_what_is_no_length_is_refused(field: str, value: object) -> None:
    data = tables()
    data["cabinet"][field] = value
    assert set(problems(data)) == {f"cabinet.{field}"}


@pytest.mark.parametrize("value", [float("nan"), -1, 0, True])
@pytest.mark.parametrize("field", ["width_m", "depth_m", "clear_height_m", "max_load_kg", "tray_volume_l"])
def test_what_is_no_shelf_is_refused(field: str, value: object) -> None:
    data = tables()
    data["compartment"][0]["shelf"][0][field] = value
    assert set(problems(data)) == {f"compartment.1.shelf.1.{field}"}


@pytest.mark.parametrize("place", ["", "cabinet", "filters"])
def test_an_unknown_key_is_named(place: str) -> None:
    data = tables()
    (data[place] if place else data)["exhaust"] = "roof"
    name = f"{place}.exhaust" if place else "exhaust"
    assert "spelling" in problems(data)[name][1]


@pytest.mark.parametrize("missing", ["cabinet", "compartment", "filters"])
def test_a_missing_table_is_named(missing: str) -> None:
    data = tables()
    del data[missing]
    assert set(problems(data)) == {missing}


def test_two_shelves_of_one_name_are_refused() -> None:
    """The plan would name two places alike."""
    data = tables()
    data["compartment"][0]["shelf"][1]["key"] = "1"
    with pytest.raises(InputError, match="A/1"):
        parse_cabinet(data)


@pytest.mark.parametrize(
    "values",
    [
        [0.01, 0.001, 0.0001],
        [0.001, 0.01, 0.005],
        [0.0, 0.001, 0.01],
        [0.001, 0.01, 1.0],
        [-0.1, 0.001, 0.01],
        [float("nan"), 0.001, 0.01],
        [0.001, float("nan"), 0.01],
        [0.001, 0.01, float("nan")],
    ],
)
def test_a_by_pass_is_a_rising_share(values: list[float]) -> None:
    """It is a fraction of the air with 5, 50 and 95 % in order; a seal without any by-pass is not believed."""
    data = tables()
    data["filters"]["seal_bypass"] = values
    assert "filters.seal_bypass" in problems(data)


@pytest.mark.parametrize("values", [[], [0.001], [0.001, 0.002, 0.003, 0.004]])
def test_a_by_pass_has_three_values(values: list[float]) -> None:
    data = tables()
    data["filters"]["seal_bypass"] = values
    assert "filters.seal_bypass" in problems(data)


def test_a_stated_by_pass_is_taken_and_an_unstated_one_has_a_source() -> None:
    data = tables()
    data["filters"]["seal_bypass"] = [0.001, 0.002, 0.01]
    bypass = parse_cabinet(data).filters.seal_bypass
    assert (bypass.p05, bypass.p50, bypass.p95, bypass.source) == (0.001, 0.002, 0.01, "user")
    assert parse_cabinet(tables()).filters.seal_bypass == media.default_seal_bypass()
    assert media.default_seal_bypass().p05 > 0


def test_an_unstated_age_is_common_practice_and_says_so() -> None:
    """Typical filter life about one year (common practice, no source)."""
    data = tables()
    assert parse_cabinet(data).max_age_source == "user"
    del data["cabinet"]["max_filter_age_days"]
    cabinet = parse_cabinet(data)
    assert (cabinet.max_age_days, cabinet.max_age_source) == (365.0, "common-practice")


@pytest.mark.parametrize(("field", "value"), [("particulate", "H99"), ("particulate", "good")])
def test_an_unknown_particulate_class_is_refused(field: str, value: str) -> None:
    data = tables()
    data["filters"][field] = value
    with pytest.raises(InputError):
        parse_cabinet(data)


def test_an_unknown_medium_is_refused_and_no_filter_is_no_fault_of_the_file() -> None:
    data = tables()
    data["filters"]["bed"][0]["medium"] = "moon dust"
    with pytest.raises(InputError, match="moon dust"):
        parse_cabinet(data)
    del data["filters"]["bed"]
    del data["filters"]["particulate"]
    stack = parse_cabinet(data).filters
    assert stack.beds == () and stack.particulate is None


def test_a_missing_file_and_an_unknown_name_are_told_apart(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="full-height"):
        load_cabinet("half-height")
    with pytest.raises(InputError, match="cannot be read"):
        load_cabinet(tmp_path / "none.toml")


@pytest.mark.parametrize("content", [b"\x00\x01\xff", b"", b"[cabinet\nname=", b"cabinet = 3"])
def test_a_file_that_is_no_cabinet_is_an_input_error(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "cabinet.toml"
    path.write_bytes(content)
    with pytest.raises(InputError, match=r"cabinet\.toml"):
        load_cabinet(path)


@pytest.mark.parametrize("name", ["../../etc/passwd", "/etc/passwd", "nothing.toml"])
def test_a_medium_elsewhere_is_not_opened(name: str, tmp_path: Path) -> None:
    """ASVS 5.3.2: a path from a user's file never leaves its folder; without a folder no file is opened at all."""
    tables = shipped_tables("under-bench")
    tables["filters"]["bed"][0]["medium"] = name
    with pytest.raises(InputError):
        parse_cabinet(tables, folder=None)
    with pytest.raises(InputError):
        parse_cabinet(tables, folder=tmp_path)


def own_medium(**changed: Any) -> dict[str, Any]:
    """An invented medium as the tables of its file."""
    points = {"p05": 0.40, "p50": 0.45, "p95": 0.50}
    return {
        "name": "ours",
        "title": "Our carbon (invented)",
        "micropore_volume_cm3_g": points,
        "characteristic_energy_kJ_mol": {"p05": 18.0, "p50": 20.0, "p95": 22.0},
        "bulk_density_kg_m3": {"p05": 450, "p50": 480, "p95": 510},
        "grain_diameter_mm": {"p05": 1.2, "p50": 1.5, "p95": 2.0},
        **changed,
    }


def test_a_cabinet_may_bring_its_own_medium() -> None:
    data = tables()
    data["medium"] = [own_medium()]
    data["filters"]["bed"][0]["medium"] = "ours"
    bed = parse_cabinet(data).filters.beds[0]
    assert bed.medium.title == "Our carbon (invented)"
    assert bed.medium.grain_diameter.p50 == pytest.approx(1.5e-3, rel=1e-12)  # mm to m


@pytest.mark.parametrize("brought", [[own_medium(), own_medium()], [own_medium(name="coconut")]])
def test_an_own_medium_never_passes_for_another(brought: list[dict[str, Any]]) -> None:
    """A record names media: one that took a shipped one's name would borrow its version and sources."""
    data = tables()
    data["medium"] = brought
    assert "medium.name" in problems(data)


def test_an_own_medium_is_held_to_the_medium_files_rules() -> None:
    data = tables()
    data["medium"] = [own_medium(bulk_density_kg_m3={"p05": 0.45, "p50": 0.48, "p95": 0.51}, colour="black")]
    with pytest.raises(InputError, match="colour"):
        parse_cabinet(data)
    del data["medium"][0]["colour"]
    with pytest.raises(InputError, match="is the unit the one in the key"):
        parse_cabinet(data)


def test_the_page_of_shipped_cabinets_is_right() -> None:
    """docs/reference/cabinet.md, its table, against the files."""
    page = (Path(__file__).parents[2] / "docs" / "reference" / "cabinet.md").read_text("utf-8")
    rows = re.findall(r"^\| `(.+?)` \| (\d+) \| (\d+) \| (\w+) \| (\d) × (\d) \|$", page, re.MULTILINE)
    assert [row[0] for row in rows] == list(shipped())
    for name, flow, carbon, particulate, compartments, shelves in rows:
        cabinet = load_cabinet(name)
        assert cabinet.flow * 3600 == pytest.approx(float(flow))
        assert sum(bed.mass for bed in cabinet.filters.beds) == float(carbon)
        assert cabinet.filters.particulate is not None
        assert cabinet.filters.particulate.filter_class == particulate
        assert [len(one.shelves) for one in cabinet.compartments] == [int(shelves)] * int(compartments)


@pytest.mark.parametrize(
    "program",
    [
        "from stillroom.cabinet import load, shipped; print(len([load(name) for name in shipped()]))",
        "import stillroom.cabinet.load; from stillroom.cabinet import load; print(len([load('two-bay')]))",
        "from stillroom import cabinet; print(len([cabinet.load('two-bay')])); cabinet.parse_cabinet",
    ],
)
def test_the_loader_is_at_the_door_whatever_was_imported_first(program: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) >= 1


def test_the_door_reads_no_file_and_no_schema_before_it_is_asked() -> None:
    program = "import sys, stillroom.cabinet, stillroom.room; print('pydantic' in sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.stdout.strip() == "False", done.stderr
