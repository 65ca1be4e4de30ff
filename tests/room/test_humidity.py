"""Relative humidity as a number, a range, or a year."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stillroom.errors import InputError
from stillroom.room import Room, draw_humidity, parse_room

# Mean relative humidity by month of an invented hot and humid place
YEAR = [0.55, 0.57, 0.60, 0.64, 0.70, 0.76, 0.79, 0.80, 0.77, 0.70, 0.62, 0.56]


def room(given: object) -> Room:
    fields = {"name": "r", "volume_m3": 60, "air_changes_per_h": 6, "relative_humidity": given}
    return parse_room({"room": fields}, file_name="room.toml")


def drawn(given: object, size: int = 2000) -> np.ndarray:
    return draw_humidity(room(given), np.random.default_rng(1), size)


def test_a_number_stands_in_every_draw() -> None:
    assert room(0.4).relative_humidity == 0.4 and room(0.4).humidity_course == ()
    assert np.all(drawn(0.4) == 0.4) and np.all(drawn(1) == 1.0)


def test_a_range_is_drawn_evenly() -> None:
    """Mean and spread of the even distribution, (a + b)/2 and (b − a)/√12; four standard errors of 2,000 draws."""
    assert room([0.4, 0.7]).relative_humidity == 0.7
    humidity = drawn([0.4, 0.7])
    assert humidity.min() >= 0.4 and humidity.max() <= 0.7
    assert humidity.mean() == pytest.approx(0.55, abs=4 * 0.3 / np.sqrt(12 * 2000))
    assert np.array_equal(humidity, drawn([0.4, 0.7]))


def test_of_a_year_the_most_humid_month_counts() -> None:
    given = room(YEAR)
    assert given.humidity_course == tuple(YEAR) and given.relative_humidity == 0.80
    assert np.all(drawn(YEAR) == 0.80)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (0.5, "50 % relative humidity"),
        ([0.4, 0.655], "40 to 65.5 % relative humidity"),
        (YEAR, "55 to 80 % relative humidity by month, of which the most humid counts"),
    ],
)
def test_words(given: object, words: str) -> None:
    assert room(given).humidity_words == words
    assert replace(room(given), note="x").humidity_words == words


@pytest.mark.parametrize(
    ("given", "what"),
    [
        (50, "a fraction, 50 % is 0.5"),
        (-0.1, "outside 0 to 1"),
        (float("nan"), "outside 0 to 1"),
        ("humid", "neither a number nor a list"),
        (True, "neither a number nor a list"),
        ([0.4, "0.6"], "neither a number nor a list"),
        ([0.5], "a list of 1"),
        ([0.4, 0.5, 0.6], "a range has two numbers, a year has twelve"),
        ([], "a list of 0"),
        ([0.7, 0.4], "first number is the larger"),
        ([40, 60], "50 % is 0.5"),
    ],
)
def test_a_wrong_one_is_named(given: object, what: str) -> None:
    with pytest.raises(InputError) as caught:
        room(given)
    [problem] = caught.value.problems
    assert problem.column == "room.relative_humidity" and problem.file == "room.toml"
    assert what in problem.what and problem.mend
