"""Comparison files and climate tables: every fault with its place."""

import tomllib
from pathlib import Path

import pytest

from stillroom.economics import load_case, parse_case, read_climate
from stillroom.errors import InputError

EXAMPLE = Path("examples/savings/hot-humid.toml")
HEAD = "month,temperature_C,relative_humidity\n"
ROWS = [f"{month},25.0,0.6" for month in range(1, 13)]


def tables():
    return tomllib.loads(EXAMPLE.read_text("utf-8"))


def test_the_example_is_read():
    case = load_case(EXAMPLE)
    assert case.flow == pytest.approx(700.0 / 3600.0)
    assert case.plant.cooling_cop.p95 == 4.0
    assert len(case.climate.months) == 12
    assert case.invented


@pytest.mark.parametrize(
    ("table", "field", "value", "place"),
    [
        ("savings", "flow_m3_h", -1, "savings.flow_m3_h"),
        ("savings", "currency", "ringgit", "savings.currency"),
        ("savings", "colour", "red", "savings.colour"),
        ("room", "relative_humidity", 55, "room.relative_humidity"),
        ("plant", "cooling_cop", 0, "plant.cooling_cop"),
        ("plant", "cooling_cop", [4, 3, 2], "plant.cooling_cop"),
        ("plant", "recovery", 40, "plant.recovery"),
        ("prices", "electricity_per_kWh", float("nan"), "prices.electricity_per_kWh"),
        ("filtered", "filter_life_days", 0, "filtered.filter_life_days"),
        ("climate", "file", "../hot-humid.toml", "climate.file"),
        ("climate", "file", "/etc/passwd", "climate.file"),
    ],
)
def test_a_fault_names_its_place(table, field, value, place):
    data = tables()
    data[table][field] = value
    with pytest.raises(InputError) as caught:
        parse_case(data, file_name="x.toml", folder=EXAMPLE.parent)
    assert place in str(caught.value)


def test_a_missing_climate_is_named():
    data = tables()
    del data["climate"]["file"]
    with pytest.raises(InputError, match="twelve"):
        parse_case(data, file_name="x.toml", folder=EXAMPLE.parent)


def test_months_may_stand_in_the_file():
    data = tables()
    data["climate"] = {
        "source": "invented",
        "month": [{"temperature_C": 20.0, "relative_humidity": 0.5}] * 12,
    }
    assert parse_case(data, file_name="x.toml").climate.months[3].temperature == 20.0


def test_semicolons_decimal_commas_and_per_cent():
    text = HEAD.replace(",", ";") + "\n".join(
        f"{month};25,5;60 %".replace(" %", "%") for month in range(1, 13)
    )
    climate = read_climate(text, file_name="c.csv", source="invented")
    assert climate.months[0].temperature == 25.5
    assert climate.months[0].relative_humidity == pytest.approx(0.6)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "header"),
        ("a,b,c\n", "header"),
        (HEAD + "\n".join(ROWS[:-1]), "month 12"),
        (HEAD + "\n".join([*ROWS[:-1], "11,25,0.6"]), "month of its own"),
        (HEAD + "\n".join([*ROWS[:-1], "12,25,60"]), "row 13"),
        (HEAD + "\n".join([*ROWS[:-1], "12,hot,0.6"]), "temperature_c"),
        (HEAD + "\n".join([*ROWS[:-1], "12,25"]), "relative_humidity"),
    ],
)
def test_a_wrong_climate_table_says_where(text, says):
    with pytest.raises(InputError) as caught:
        read_climate(text, file_name="c.csv", source="invented")
    assert says in str(caught.value)
