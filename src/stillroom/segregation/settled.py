"""A plan in which every conflict is kept apart: what no arrangement keeps apart is left out by name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.cabinet.design import Cabinet
from stillroom.inventory.model import Container
from stillroom.segregation.elsewhere import Further, fewest_out, further
from stillroom.segregation.model import AIR, Conflict
from stillroom.segregation.placement import place
from stillroom.segregation.plan import Plan

__all__ = ["Settled", "settle"]


@dataclass(frozen=True, slots=True)
class Settled:
    """Where everything stands, what must stand elsewhere and why, and which further places that takes."""

    plan: Plan
    """of what stays; nothing in it is unsolved"""
    elsewhere: dict[str, tuple[Conflict, ...]]
    """container key to its conflicts with what stays or went before"""
    further: tuple[Further, ...]
    """for those elsewhere and those without room"""


def settle(
    containers: Sequence[Container],
    cabinets: Cabinet | Sequence[Cabinet],
    conflicts: Sequence[Conflict],
    *,
    seed: int,
    seconds: float,
) -> Settled:
    """A shelf plan of as much as the cabinets keep apart.

    Parameters
    ----------
    containers : sequence of Container
        With known contents.
    cabinets : Cabinet or sequence of Cabinet
        One or several; only several keep apart what may not share air.
    conflicts : sequence of Conflict
        Among these containers.
    seed : int
        Same seed, same plan [-].
    seconds : float
        Effort of each search, as in `place` [s].
    """
    several = not isinstance(cabinets, Cabinet) and len(cabinets) > 1
    out = {} if several else fewest_out(item for item in conflicts if item.severity in AIR)
    while True:
        staying = [item for item in containers if item.key not in out]
        keys = {item.key for item in staying}
        among = [item for item in conflicts if item.first in keys and item.second in keys]
        plan = place(staying, cabinets, among, seed=seed, seconds=seconds)
        if not plan.unsolved:
            break
        out |= fewest_out(plan.unsolved)
    homeless = [*out, *(key for key, _ in plan.not_placed)]
    return Settled(plan, out, further(homeless, conflicts, keys - set(homeless)))
