"""ROOM files. What each field must be is docs/reference/room.md; other origins stand beside each check."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from stillroom.errors import InputError
from stillroom.room.load import ASSUMED_BACKGROUND, load_room, parse_room
from stillroom.room.model import HandLimit


def tables(**others: Any) -> dict[str, Any]:
    return {"room": {"name": "r", "volume_m3": 60, "air_changes_per_h": 6}, **others}


def problems(data: dict[str, Any]) -> dict[str, tuple[str, str]]:
    """Place to (found, mend) of every fault."""
    with pytest.raises(InputError) as caught:
        parse_room(data, file_name="room.toml")
    assert all(problem.file == "room.toml" for problem in caught.value.problems)
    return {problem.column: (problem.found, problem.mend) for problem in caught.value.problems}


def test_the_least_room() -> None:
    """22 °C, 50 % and 101 325 Pa where nothing is said (laboratory air as usual; the standard atmosphere)."""
    room = parse_room(tables())
    assert (room.volume, room.air_changes_per_h) == (60.0, 6.0)
    assert room.temperature == pytest.approx(295.15)
    assert room.pressure == 101_325.0
    assert room.relative_humidity == 0.5


def test_unstated_backgrounds_are_assumed_and_marked() -> None:
    room = parse_room(tables())
    assert room.backgrounds == (ASSUMED_BACKGROUND,)
    assert room.backgrounds_stated is False


def test_a_stated_empty_background_is_none_at_all() -> None:
    room = parse_room(tables(background=[]))
    assert room.backgrounds == ()
    assert room.backgrounds_stated is True


def test_a_stated_background_replaces_the_assumed_one() -> None:
    room = parse_room(tables(background=[{"cas": "67-64-1", "mg_m3": 2.0}]))
    assert [(row.cas, row.mg_m3, row.source) for row in room.backgrounds] == [("67-64-1", 2.0, "user")]
    assert room.backgrounds_stated is True


def test_every_fault_is_named_at_once_with_place_and_mend() -> None:
    data = tables(
        background=[{"cas": "67-64-1", "mg_m3": -2.0}],
        limits={"ordering": "kindest"},
        rules={"cleanup_minutes": float("nan"), "colour": "white"},
        limit=[{"cas": "67-64-1", "value": 10, "unit": "ppb", "source": "data sheet"}],
    )
    del data["room"]["name"]
    found = problems(data)
    assert set(found) == {
        "room.name",
        "background.1.mg_m3",
        "limits.ordering",
        "rules.cleanup_minutes",
        "rules.colour",
        "limit.1.unit",
    }
    assert all(mend for _, mend in found.values())
    assert found["background.1.mg_m3"][0] == "-2.0"
    assert "spelling" in found["rules.colour"][1]


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1, 0, True, "large", None])
@pytest.mark.parametrize("field", ["volume_m3", "air_changes_per_h"])
def test_what_is_no_room_is_refused(field: str, value: object) -> None:
    data = tables()
    data["room"][field] = value
    assert set(problems(data)) == {f"room.{field}"}


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("temperature_C", 295.15),  # kelvin typed as °C
        ("temperature_C", float("nan")),
        ("relative_humidity", 50),  # per cent typed as a fraction
        ("relative_humidity", -0.1),
        ("relative_humidity", float("nan")),
        ("pressure_Pa", 101.325),  # kPa typed as Pa
        ("pressure_Pa", 1013),  # hPa typed as Pa
        ("pressure_Pa", float("nan")),
    ],
)
def test_a_slip_of_units_is_refused(field: str, value: float) -> None:
    data = tables()
    data["room"][field] = value
    assert set(problems(data)) == {f"room.{field}"}


@pytest.mark.parametrize(
    "field",
    [
        "cleanup_minutes",
        "response_minutes",
        "fan_stop_hours",
        "required_interval_days",
        "criterion_fraction",
        "excursion_factor",
        "lfl_fraction",
        "flammables_litre_category_1",
        "flammables_litre_total",
        "visit_fraction_of_life",
        "visit_longest_days",
        "saturation_fraction",
    ],
)
@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1, True])
def test_no_rule_takes_what_is_no_number(field: str, value: object) -> None:
    assert set(problems(tables(rules={field: value}))) == {f"rules.{field}"}


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("criterion_fraction", 1.0),  # the whole limit at the exhaust is no criterion for storage
        (
            "lfl_fraction",
            0.5,
        ),  # a quarter of the lower flammable limit is the usual bound (NFPA 69, from memory)
        ("excursion_factor", 10),  # ACGIH excursions: 3 times, never over 5 times (from memory)
    ],
)
def test_the_site_cannot_relax_what_protects_people(field: str, value: float) -> None:
    assert set(problems(tables(rules={field: value}))) == {f"rules.{field}"}


def test_a_hand_limit_keeps_its_source_and_is_not_confirmed_by_itself() -> None:
    row = {"cas": "67-68-5", "value": 50, "unit": "ppm", "source": "safety data sheet, section 8"}
    assert parse_room(tables(limit=[row])).hand_limits == (
        HandLimit("67-68-5", 50.0, "ppm", "TWA", "safety data sheet, section 8", False),
    )


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("source", ""),
        ("source", None),
        ("value", 0),
        ("value", -1),
        ("value", float("nan")),
        ("value", float("inf")),
        ("value", True),
        ("unit", "ppb"),
        ("basis", "daily"),
    ],
)
def test_a_hand_limit_at_fault_is_refused(field: str, value: object) -> None:
    row = {
        "cas": "67-68-5",
        "value": 50,
        "unit": "ppm",
        "source": "safety data sheet, section 8",
        field: value,
    }
    assert set(problems(tables(limit=[row]))) == {f"limit.1.{field}"}


def test_a_hand_limit_without_a_source_is_refused() -> None:
    found = problems(tables(limit=[{"cas": "67-68-5", "value": 50, "unit": "ppm"}]))
    assert found == {"limit.1.source": ("", "Add it.")}


@pytest.mark.parametrize("cas", ["108-88-4", "toluene", "", "1988-08-10"])
@pytest.mark.parametrize("kind", ["background", "limit"])
def test_a_cas_number_with_a_wrong_check_digit_is_refused(kind: str, cas: str) -> None:
    """Check digit: the sum of the digits from the right, each times its place, modulo ten (CAS Registry)."""
    rows = {
        "background": {"cas": cas, "mg_m3": 1.0},
        "limit": {"cas": cas, "value": 50, "unit": "ppm", "source": "safety data sheet"},
    }
    assert f"{kind}.1.cas" in problems(tables(**{kind: [rows[kind]]}))


def test_a_marker_is_a_cas_number_or_none_at_all() -> None:
    assert parse_room(tables(rules={"marker_cas": "108-88-3"})).rules.marker_cas == "108-88-3"
    assert parse_room(tables(rules={"marker_cas": ""})).rules.marker_cas == ""
    assert set(problems(tables(rules={"marker_cas": "108-88-4"}))) == {"rules.marker_cas"}


@pytest.mark.parametrize("place", ["", "room", "limits", "rules"])
def test_an_unknown_key_is_named(place: str) -> None:
    data = tables(limits={}, rules={})
    (data[place] if place else data)["smell"] = "none"
    name = f"{place}.smell" if place else "smell"
    assert "spelling" in problems(data)[name][1]


@pytest.mark.parametrize("content", [b"\x00\x01\xff", b"", b"[room\nname=", b"room = 3"])
def test_a_file_that_is_no_room_is_an_input_error(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "room.toml"
    path.write_bytes(content)
    with pytest.raises(InputError, match=r"room\.toml"):
        load_room(path)


def test_a_file_with_a_byte_order_mark_is_read(tmp_path: Path) -> None:
    path = tmp_path / "room.toml"
    path.write_bytes(b'\xef\xbb\xbf[room]\nname = "r"\nvolume_m3 = 60\nair_changes_per_h = 6\n')
    assert load_room(path).volume == 60.0


@pytest.mark.parametrize("first", ["", "import stillroom.room.load; "])
def test_the_loader_is_at_the_door_whatever_was_imported_first(first: str) -> None:
    file = Path(__file__).parents[2] / "examples" / "room.toml"
    program = f"{first}from stillroom.room import load, parse_room; print(load({str(file)!r}).volume > 0)"
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.stdout.strip() == "True", done.stderr
