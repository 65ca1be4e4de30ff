"""What must stand elsewhere so that the rest is kept apart, and how many further places that takes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from stillroom.segregation.model import AIR, Conflict

__all__ = ["Further", "fewest_out", "further", "said"]


@dataclass(frozen=True, slots=True)
class Further:
    """One more compartment or cabinet, and the containers that may share it."""

    keys: tuple[str, ...]
    cabinet: bool
    """only another cabinet will do: a compartment shares the air"""


def fewest_out(conflicts: Iterable[Conflict]) -> dict[str, tuple[Conflict, ...]]:
    """Containers to take out so that none of `conflicts` is left, each with its reasons.

    The container with most conflicts goes first; of equals, the later in the inventory. Greedy: few, not always fewest.
    """
    left = list(conflicts)
    leaving: dict[str, tuple[Conflict, ...]] = {}
    while left:
        counts = Counter(key for item in left for key in (item.first, item.second))
        goes = max(counts, key=lambda key: (counts[key], _row(key), key))
        leaving[goes] = tuple(item for item in left if goes in (item.first, item.second))
        left = [item for item in left if goes not in (item.first, item.second)]
    return leaving


def further(
    keys: Sequence[str], conflicts: Iterable[Conflict], staying: Iterable[str] = ()
) -> tuple[Further, ...]:
    """As few further places as it takes (greedily) for `keys`, conflicts among them kept.

    Parameters
    ----------
    keys : sequence of str
        Containers that have no place.
    conflicts : iterable of Conflict
        Among all containers. Those that a tray solves part no places.
    staying : iterable of str
        Containers in the cabinet: whoever may not share their air needs another cabinet.
    """
    grave = [item for item in conflicts if item.severity != "separate tray"]
    apart = {frozenset((item.first, item.second)) for item in grave}
    airs = {frozenset((item.first, item.second)) for item in grave if item.severity in AIR}
    stay = set(staying)
    places: list[list[str]] = []
    needs = {key: any(frozenset((key, other)) in airs for other in stay) for key in keys}
    for key in sorted(keys, key=lambda key: (not needs[key], _row(key), key)):
        home = next(
            (place for place in places if all(frozenset((key, one)) not in apart for one in place)), None
        )
        if home is None:
            places.append([key])
        else:
            home.append(key)
    found: list[Further] = []
    for place in places:
        here = [key for one in found if not one.cabinet for key in one.keys]
        beside = any(frozenset((key, other)) in airs for key in place for other in here)
        found.append(Further(tuple(place), beside or any(needs[key] for key in place)))
    return tuple(found)


def said(places: Sequence[Further], names: Mapping[str, str]) -> tuple[str, ...]:
    """A sentence a place, in the words of the inventory; what goes there is assessed there."""
    return tuple(
        f"{'Another cabinet' if place.cabinet else 'Another compartment or cabinet'} would take: "
        f"{'; '.join(names[key] for key in place.keys)}. Assess it there by itself."
        for place in places
    )


def _row(key: str) -> int:
    digits = "".join(filter(str.isdigit, key))
    return int(digits) if digits else 0
