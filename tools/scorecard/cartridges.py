"""Respirator cartridges of 1976: when each vapour comes through, as an assessment would have it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.stats import spearmanr

from stillroom import bed, media
from stillroom.media.model import Interval
from stillroom.substances import properties
from tools.scorecard.data import rows_of

__all__ = ["Cartridge", "cartridges", "lines"]

Array = NDArray[np.float64]

FRACTIONS = (0.01, 0.10)
_MASSES = (0.050, 0.065, 0.080)  # of carbon in two cartridges of 25 to 40 g [kg]
_KELVIN, _HUMIDITY, _DRAWS = 295.15, 0.5, 300
_FLOW, _FACE = 53.3e-3 / 60.0, 45.8e-4  # [m³/s], [m²]: 19.4 cm/s, Wood 1994
_MESH = Interval(1.0e-3, 1.27e-3, 1.6e-3, "from-memory", "12×20 mesh, usual there")
METHANOL = "67-56-1"


@dataclass(frozen=True, slots=True)
class Cartridge:
    """One vapour at 1000 ppm."""

    cas: str
    name: str
    measured: Array
    """minutes to each of `FRACTIONS`"""
    minutes: Array
    """draws of them, (fractions, draws); a third of the draws for each mass of carbon"""
    times: Array
    """[min]"""
    outlet: Array
    """outlet over inlet, (times, draws)"""


def cartridges(folder: Path, *, medium: str = "generic") -> list[Cartridge]:
    """Every vapour of the printed comparison.

    Parameters
    ----------
    folder : Path
        Where the published sets lie.
    medium : str
        A shipped one, nothing of it fitted to these cartridges.
    """
    return [_cartridge(row, medium) for row in rows_of(folder / "cartridge_breakthrough_1976.csv")]


def _cartridge(row: dict[str, str], medium: str) -> Cartridge:
    measured = np.array([float(row["t1_measured_min"]), float(row["t10_measured_min"])])
    times = np.linspace(0.0, 2.0 * measured[-1] + 10.0, 80)
    inlet = np.full((1, _DRAWS), 1e-3 * 101325.0 / (8.314462618 * _KELVIN))
    parts = [_drawn(row["cas"], medium, mass) for mass in _MASSES]
    return Cartridge(
        row["cas"],
        row["chemical"],
        measured,
        np.hstack([[one.time_to(x, inlet)[0] / 60.0 for x in FRACTIONS] for one in parts]),
        times,
        np.hstack([one.exhaust(times * 60.0, inlet)[:, 0] / inlet[0] for one in parts]),
    )


def _drawn(cas: str, medium: str, mass: float) -> bed.Stack:
    carbon = replace(media.load(medium), grain_diameter=_MESH)
    return bed.Stack.draw(
        media.FilterStack(None, (media.Bed(carbon, mass, _FACE),), Interval(1e-9, 1e-9, 1e-9)),
        [bed.Vapour(properties(cas, temperature=_KELVIN))],
        flow=_FLOW,
        temperature=_KELVIN,
        pressure=101325.0,
        relative_humidity=_HUMIDITY,
        rng=np.random.default_rng(1),
        size=_DRAWS,
    )


def lines(found: Sequence[Cartridge]) -> list[str]:
    """The section of the page."""
    others = [one for one in found if one.cas != METHANOL]
    measured = np.array([one.measured for one in others])
    middle = np.array([np.median(one.minutes, axis=1) for one in others])
    low, high = (np.array([np.quantile(one.minutes, q, axis=1) for one in found]) for q in (0.05, 0.95))
    every = np.array([one.measured for one in found])
    inside = (low <= every) & (every <= high)
    rank = spearmanr(middle[:, 1], measured[:, 1]).statistic
    by_mass = [
        np.median([np.median(np.split(one.minutes[1], len(_MASSES))[k]) / one.measured[1] for one in others])
        for k in (0, -1)
    ]
    table = [
        "| vapour | to 1 %, measured | predicted | to 10 %, measured | predicted |",
        "|---|---|---|---|---|",
    ]
    for one, down, up in zip(found, low, high, strict=True):
        cells = [
            f"{told:g} | {np.median(drawn):.0f} ({a:.0f}–{b:.0f})"
            for told, drawn, a, b in zip(one.measured, one.minutes, down, up, strict=True)
        ]
        table.append(f"| {one.name.lower()} | {' | '.join(cells)} |")
    return [
        "## Breakthrough",
        "",
        f"Respirator cartridges, 1000 ppm at 50 % relative humidity, as an assessment would have them: the shipped `generic` carbon, of which nothing is fitted to them, 25 to 40 g each. **{inside.sum()} of {inside.size} times inside their 90 % interval; "
        f"rank correlation {rank:.2f} beside methanol (times to 10 %)**, under the 0.9 that one would like; the median of predicted over measured goes from {by_mass[0]:.2f} at 25 g to {by_mass[1]:.2f} at 40 g. Minutes:",
        "",
        *table,
        "",
        "![Breakthrough curves](images/validation/breakthrough.png)",
        "",
        "Where it is bad: the order of what comes within a few minutes of one another; ethanol, isopropanol and allyl alcohol are put too late beside the others. [nelson-correia-1976], as printed in OSHA's respirator eTool.",
        "",
    ]
