"""How far single vapours stand from the affinity rule: factors on the energy and pore volume of each.

A factor on E moves the loading by d ln W/d ln E = 2(A/E)²: little near saturation, much at ppb. So one
constant spread in E is a spread in loading that widens downwards, and the mixture theory stays consistent.
"""

from __future__ import annotations

from stillroom.media.model import Interval

__all__ = ["COMPANY_EXPONENT", "ENERGY_FACTOR", "RATE_FACTOR", "REACTION_SHARE", "VOLUME_FACTOR"]

ENERGY_FACTOR = Interval(0.80, 0.98, 1.20, "own-isotherm-comparison", "of one vapour's E about β E0")
VOLUME_FACTOR = Interval(0.75, 0.97, 1.25, "own-isotherm-comparison", "of one vapour's volume about W0")
RATE_FACTOR = Interval(
    0.60, 1.00, 1.60, "from-memory", "of a measured rate coefficient about its correlation"
)
REACTION_SHARE = Interval(
    0.15, 0.35, 0.80, "from-memory", "of the film's rate, for uptake by an impregnation"
)
COMPANY_EXPONENT = Interval(
    1.0,
    1.5,
    2.0,
    "from-memory",
    "on an activity coefficient by regular solution theory; in toluene methanol has about 22 (theory 8.6), ethanol 16 (4.2), "
    "acetonitrile 4 (2.2), benzene and chloroform 1 (1)",
)
