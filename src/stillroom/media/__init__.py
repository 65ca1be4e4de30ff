"""Filter media: what they hold at equilibrium, how fast, and what they are made of."""

from stillroom.media import (
    equilibrium,
    humidity,
    impregnants,
    kinetics,
    mixtures,
    particulate,
    scatter,
    water,
)
from stillroom.media.draws import sample
from stillroom.media.load import default_seal_bypass, load, names, parse, versions
from stillroom.media.model import (
    Bed,
    FilterStack,
    Impregnation,
    Interval,
    Medium,
    ParticulateFilter,
    WaterUptake,
)
from stillroom.media.particulate import penetration

__all__ = [
    "Bed",
    "FilterStack",
    "Impregnation",
    "Interval",
    "Medium",
    "ParticulateFilter",
    "WaterUptake",
    "default_seal_bypass",
    "equilibrium",
    "humidity",
    "impregnants",
    "kinetics",
    "load",
    "mixtures",
    "names",
    "parse",
    "particulate",
    "penetration",
    "sample",
    "scatter",
    "versions",
    "water",
]
