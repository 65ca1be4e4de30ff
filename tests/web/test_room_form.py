"""A range or a course of relative humidity that came in a file, in the room's form and among the answers."""

from __future__ import annotations

import pytest

from stillroom.web.check.answers import _room
from stillroom.web.room.form import RoomForm

ROOM = {"name": "r", "volume_m3": 60.0, "air_changes_per_h": 6.0, "temperature_C": 22.0}
FIELDS = {"name": "r", "volume": "60", "changes": "6", "temperature": "22", "background": "none"}


@pytest.mark.parametrize(
    ("given", "shown", "words"),
    [(0.5, 50.0, "22 °C, 50 %"), ([0.4, 0.655], 65.5, "22 °C, 40–65.5 %")],
)
def test_the_most_humid_is_shown_and_what_is_not_touched_stays(given, shown, words):
    tables = {"room": ROOM | {"relative_humidity": given}, "background": []}
    form = RoomForm(tables=tables)
    assert form.initial["humidity"] == shown
    for typed, kept in ((f"{shown:g}", given), ("70", 0.7)):
        form = RoomForm(FIELDS | {"humidity": typed}, tables=tables)
        assert form.is_valid(), form.errors
        assert form.cleaned_data["tables"]["room"]["relative_humidity"] == kept
    assert words in [text for _, text in _room(tables)]
