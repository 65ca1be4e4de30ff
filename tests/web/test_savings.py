"""The savings page: the form's figures are those of a comparison file, and nothing is stored."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.urls import reverse

from stillroom import economics
from stillroom.services.savings import savings

EXAMPLE = Path(__file__).parents[2] / "examples" / "savings"
GIVEN = {
    "flow": "700 m³/h", "hours": "8760", "currency": "myr", "temperature": "23", "humidity": "55 %",
    "climate": (EXAMPLE / "climate-hot-humid.csv").read_text("utf-8"),
    "climate_source": "monthly means of an inland town near the equator, invented",
    "cop": "2.5 – 3.0 – 4.0", "efficiency": "1", "humidifies": "no", "reheats": "yes", "recovery": "0",
    "electricity": "0.40 - 0.50 - 0.60", "heat": "0.40 to 0.50 to 0.60", "ducted_fan": "200-300-450", "upkeep": "300-500-900",
    "installation": "8000-15000-30000", "lasts": "15", "filtered_fan": "50-80-120", "life": "330-365-400",
    "filter_set": "1500-2500-3500", "visits": "2", "visit": "150-250-400",
}  # fmt: skip


def test_the_form_gives_what_the_file_gives(validator):
    """The same figures as examples/savings/hot-humid.toml, through the command's own reader."""
    page = validator.post(reverse("savings"), GIVEN).content.decode()
    expected = savings(economics.load_case(EXAMPLE / "hot-humid.toml"))
    middle = f"{expected['saved_per_year']['p50']:,.0f}".replace(",", "\u202f")
    assert f"{middle} MYR a year" in page
    assert page.count('class="chart chart-savings"') == 1
    for words in expected["assumptions"]:
        assert words in page.replace("&#x27;", "'")


def test_two_ends_have_their_geometric_mean_between_them():
    from stillroom.web.savings.form import SpanField

    low, middle, high = SpanField(label="x").clean("4 to 9")
    assert (low, high) == (4.0, 9.0)
    assert middle == pytest.approx(6.0, rel=1e-12)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"climate": GIVEN["climate"].replace("27.5", "warm")}, "row 3, column “temperature_c”"),
        ({"climate": ""}, "Enter the outdoor air of twelve months"),
        ({"cop": "4-3"}, "must rise from low to high"),
        ({"cop": "good"}, "must be a number, like 2.5, or an interval"),
        ({"currency": "$"}, "must be like MYR or EUR"),
        ({"life": ""}, "Enter filtered: filter life"),
        ({"humidity": "120"}, "must be between 0 and 100"),
    ],
)
def test_what_is_wrong_is_said_and_what_was_typed_stays(validator, change, words):
    page = validator.post(reverse("savings"), GIVEN | change).content.decode()
    assert words in page
    assert re.search(r"<title>\s*Error: ", page)
    assert 'value="200-300-450"' in page


def test_the_cabinets_own_figures_stand_in_the_form(ours, validator, monkeypatch):
    import datetime

    from stillroom.web.savings import view

    monkeypatch.setattr(view.timezone, "localdate", lambda: datetime.date(2026, 11, 25))
    page = validator.get(reverse("savings"), {"cabinet": ours.cabinet.key}).content.decode()
    flow = ours.done.inputs["cabinet"]["cabinet"]["flow_m3_h"]
    assert re.search(rf'name="flow" value="{flow:g}"', page)
    life = ours.done.record["service_life_days"]
    assert f'value="{int(life["p05"])} - {int(life["p50"])} - {int(life["p95"])}"' in page


def test_another_organisations_cabinet_is_absent(theirs, validator):
    assert validator.get(reverse("savings"), {"cabinet": theirs.cabinet.key}).status_code == 404
