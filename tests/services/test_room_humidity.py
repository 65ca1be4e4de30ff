"""What was given of the room's humidity stands in the record, and counts in its hash."""

from __future__ import annotations

import datetime

from assessment.invented import LITRE, bottle, cabinet, inventory
from stillroom.assessment import assess
from stillroom.room import parse_room
from stillroom.services.record import as_record

YEAR = [0.40, 0.41, 0.45, 0.50, 0.55, 0.60, 0.66, 0.70, 0.62, 0.55, 0.46, 0.42]


def record(given: object):
    fields = {"name": "r", "volume_m3": 60, "air_changes_per_h": 6, "relative_humidity": given}
    place = parse_room({"room": fields})
    result = assess(inventory(bottle(2, "108-88-3", LITRE)), cabinet(), place, seed=1, draws=200)
    return as_record(result, date=datetime.date(2026, 11, 2), title="t", invented=True)


def test_the_record_keeps_what_was_given() -> None:
    records = [record(given) for given in (0.7, [0.4, 0.7], YEAR)]
    assert [one["room"]["relative_humidity"] for one in records] == [0.7, [0.4, 0.7], YEAR]
    assert len({one["input_sha256"] for one in records}) == 3
    assert "40 to 70 % relative humidity" in str(records[1]["room"]["words"])
    assert any("by month, of which the most humid counts" in words for words in records[2]["assumptions"])
    same, year = (one["service_life_days"] for one in (records[0], records[2]))
    assert same == year  # the most humid month acts in every draw
