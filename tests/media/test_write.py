"""A medium's file and back."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stillroom import media
from stillroom.media.load import parse
from stillroom.media.model import WaterUptake
from stillroom.media.write import dumps


@pytest.mark.parametrize("name", media.names())
def test_what_is_written_is_read_back(name):
    medium = media.load(name)
    told = replace(
        medium,
        note='with "quotes", a \\ and a\nline',
        water_uptake=(WaterUptake(0.5, 0.1), WaterUptake(0.8, 0.3)),
        impregnations=tuple(
            replace(item, at_humidity=((0.0, 0.5), (0.4, 1.0))) for item in medium.impregnations
        ),
    )
    again = parse(dumps(told), file="again.toml")
    assert again == replace(told, note='with "quotes", a \\ and a line')
