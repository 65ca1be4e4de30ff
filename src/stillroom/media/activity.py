"""Pore volume from what a certificate tells: carbon tetrachloride or butane activity."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.media.model import Interval

__all__ = ["BUTANE", "TETRACHLORIDE", "Activity", "from_activity"]


@dataclass(frozen=True, slots=True)
class Activity:
    """A test of activity: grams of a vapour held by 100 g of dry carbon at one state."""

    name: str
    density: float
    """of the liquid at 25 °C [g/cm³]"""
    filled: float
    """share of the micropores that is full in the test [-]"""
    source: str
    note: str


TETRACHLORIDE = Activity(
    "carbon tetrachloride activity",
    1.584,
    0.98,
    "astm-d3467",
    "at 25 °C in air that was saturated at 0 °C, p/p_sat 0.29 (from memory): A = 3.1 kJ/mol, exp(−(A/E)²) = 0.98 with E 20",
)
BUTANE = Activity(
    "butane activity",
    0.573,
    0.98,
    "astm-d5742",
    "at 25 °C in butane of one atmosphere, p/p_sat 0.42 (p_sat 243 kPa): A = 2.2 kJ/mol, exp(−(A/E)²) = 0.98 with E 16",
)
_SPREAD = (0.85, 0.97, 1.08)
"""Micropores over what the test fills: mesopores that fill too take some, the test's own scatter widens (judgement) [-]."""


def from_activity(percent: float, test: Activity) -> Interval:
    """Micropore volume W0 from a test of activity [cm³/g].

    Parameters
    ----------
    percent : float
        Grams of vapour per 100 g of dry carbon [%].
    test : Activity
        Which vapour.

    Notes
    -----
    W = activity/(100 ρ), over the share that is full. The two tests agree as their standards do: butane activity times 2.5 is carbon
    tetrachloride activity (from memory: 2.52), here 1.584/0.573 = 2.76 for pores that fill alike.

    Validity: activated carbons, 10 to 150 %.

    Examples
    --------
    A carbon of 60 % carbon tetrachloride activity:

    >>> round(from_activity(60.0, TETRACHLORIDE).p50, 3)
    0.375
    """
    volume = percent / 100.0 / test.density / test.filled
    low, middle, high = (float(volume * share) for share in _SPREAD)
    return Interval(low, middle, high, test.source, f"from {percent:g} % {test.name}; {test.note}")
