"""Where everything stands: CP-SAT chooses a tray for every container, then rows of circles are laid out.

Hard: height, area, load, a tray that holds 110 % of the largest liquid in it, conflicts kept apart. Soft: liquids low,
heavy low, corrosives below eye level, one row's containers together.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.cabinet.design import Cabinet, Shelf
from stillroom.inventory.model import Container
from stillroom.segregation.geometry import Footprint, footprint
from stillroom.segregation.model import AIR, SEVERITIES, Conflict, Severity
from stillroom.segregation.plan import Placed, Plan
from stillroom.sources import Sourced
from stillroom.substances.hazards import hazards as hazards_of
from stillroom.substances.properties import properties as properties_of

__all__ = ["EYE_LEVEL", "place"]

EYE_LEVEL = 1.5
"""Corrosive liquids stand below it [m] (university storage guidance: nothing hazardous above 1.5 m)."""
_GAP = 0.01
"""Between containers [m] (common practice, no source)."""
_TRAY_SHARE = 1.10
_SIDE = {"flammable": 0.0, "toxic": 0.3, "other": 0.4, "base": 0.6, "oxidiser": 1.0, "acid": 1.0}
"""Where a kind likes to stand on its shelf, 0 left and 1 right, so that solvents stand with solvents and acids with acids
(common practice, no source); a preference only."""
_ASIDE = 4.0
"""Cost of one copy on the other side of the shelf, a tenth of a unit (our judgement)."""
_ABOVE_EYES, _BROKEN, _DROP = 4_000, 10_000, 100_000
"""Cost of a corrosive above eye level, of a conflict not kept apart, of a container left out: what leaves for want of
separation is chosen afterwards and by name, so that its reason is known (our judgement)."""
_TRIES = 8


_Place = tuple[int, str, str, int]


@dataclass(frozen=True, slots=True)
class _Slot:
    """One tray, or a shelf without trays."""

    cabinet: int
    compartment: str
    shelf: Shelf
    tray: int
    width: float
    x: float

    @property
    def place(self) -> _Place:
        """What a tray parts."""
        return self.cabinet, self.compartment, self.shelf.key, self.tray


@dataclass(frozen=True, slots=True)
class _Item:
    """One row of the inventory."""

    container: Container
    size: Footprint
    liquid: bool
    corrosive: bool
    kind: str


def place(
    containers: Sequence[Container],
    cabinets: Cabinet | Sequence[Cabinet],
    conflicts: Sequence[Conflict],
    *,
    seed: int,
    seconds: float,
) -> Plan:
    """A shelf plan.

    Parameters
    ----------
    containers : sequence of Container
        What is to stand in the cabinets; each copy gets a place.
    cabinets : Cabinet or sequence of Cabinet
        Where there are several, what may not share air is given different ones.
    conflicts : sequence of Conflict
        Among these containers.
    seed : int
        Same seed, same plan [-].
    seconds : float
        Effort of the search, counted in deterministic time so that a busy machine gives the same plan [s].

    Returns
    -------
    Plan
        `unsolved` holds every conflict that the plan does not keep apart; `not_placed` every row that did not fit.
    """
    items = [_item(container) for container in containers]
    slots = [
        slot
        for number, cabinet in enumerate([cabinets] if isinstance(cabinets, Cabinet) else cabinets)
        for compartment in cabinet.compartments
        for shelf in compartment.shelves
        for slot in _slots(number, compartment.key, shelf)
    ]
    placed, proven = _fitted(items, slots, conflicts, seed=seed, seconds=seconds)
    where: dict[str, set[_Place]] = {}
    for one in placed:
        where.setdefault(one.container, set()).add((one.cabinet, one.compartment, one.shelf, one.tray))
    missing = []
    for item in items:
        count = sum(one.container == item.container.key for one in placed)
        if count < item.container.count:
            missing.append((item.container.key, _why(item, slots, count)))
    unsolved = tuple(conflict for conflict in conflicts if not _kept(conflict, where))
    words = [
        "Liquids and heavy containers stand low, corrosives below 1.5 m; each tray holds 110 % of the largest liquid in it.",
        "Proven the best plan under these rules."
        if proven
        else "A good plan; the search ended before it was proven the best.",
    ]
    if any(slot.shelf.tray_volume is None for slot in slots):
        words.append(
            "Some shelves have no tray with a stated volume: put liquids there only in a tray of your own."
        )
    return Plan(tuple(placed), tuple(missing), unsolved, tuple(words))


def _fitted(
    items: list[_Item], slots: list[_Slot], conflicts: Sequence[Conflict], *, seed: int, seconds: float
) -> tuple[list[Placed], bool]:
    """Choose trays by area, lay the circles out, and where rows waste room ask that tray to take less, until all fits."""
    share = [1.0] * len(slots)
    index = {item.container.key: i for i, item in enumerate(items)}
    counts: dict[tuple[int, int], int] = {}
    for _ in range(_TRIES):
        counts, proven = _solve(items, slots, conflicts, seed=seed, seconds=seconds, share=share, hint=counts)
        placed = _lay_out(items, slots, counts)
        crowded = False
        for s, slot in enumerate(slots):
            asked = sum(_cells(items[i]) * count for (i, where), count in counts.items() if where == s)
            found = sum(
                _cells(items[index[one.container]])
                for one in placed
                if (one.cabinet, one.compartment, one.shelf, one.tray) == slot.place
            )
            if found < asked:
                crowded = True
                share[s] = min(0.95 * share[s], found / _area(slot))
        if not crowded:
            break
    return placed, proven


def _item(container: Container) -> _Item:
    density = 1000.0
    if container.components:
        known = properties_of(container.components[0].substance.cas).liquid_density
        if isinstance(known, Sourced):
            density = max(known.value, 700.0)
    found = [
        hazards_of(part.substance.cas, mass_fraction=part.mass_fraction, state=container.state)
        for part in container.components
    ]
    corrosive = any(one.corrosive for one in found)
    classes = frozenset(name for one in found for name in one.storage_classes)
    liquid = container.state in ("liquid", "solution") or container.amount.kind == "volume"
    return _Item(container, footprint(container, density=density), liquid, corrosive, _kind(classes))


_KINDS = {
    "oxidiser": {"oxidiser", "mild oxidiser", "oxidising acid", "organic peroxide"},
    "acid": {"acid", "acid chloride or anhydride"},
    "base": {"base"},
    "flammable": {"flammable", "combustible liquid"},
    "toxic": {"toxic"},
}


def _kind(classes: frozenset[str]) -> str:
    """One word for the drawing: the first kind that any of its classes is of."""
    return next((kind for kind, names in _KINDS.items() if names & classes), "other")


def _slots(cabinet: int, compartment: str, shelf: Shelf) -> list[_Slot]:
    number = max(shelf.trays, 1)
    width = shelf.width / number
    return [
        _Slot(cabinet, compartment, shelf, tray + 1 if shelf.trays else 0, width, tray * width)
        for tray in range(number)
    ]


def _fits(item: _Item, slot: _Slot) -> bool:
    """Whether one such container may stand there at all."""
    side = item.size.diameter + _GAP
    if item.size.height > slot.shelf.clear_height or side > min(slot.width, slot.shelf.depth):
        return False
    tray = slot.shelf.tray_volume
    return not (item.liquid and tray is not None and item.size.volume * _TRAY_SHARE > tray)


def _area(slot: _Slot) -> float:
    """Of a tray [cm²]."""
    return slot.width * slot.shelf.depth * 1e4


def _cells(item: _Item) -> int:
    """Area of one copy in cm²; squares, so that rows of circles find room beside each other."""
    return math.ceil(((item.size.diameter + _GAP) * 100) ** 2 * 1.08)


def _solve(
    items: list[_Item],
    slots: list[_Slot],
    conflicts: Sequence[Conflict],
    *,
    seed: int,
    seconds: float,
    share: list[float],
    hint: dict[tuple[int, int], int],
) -> tuple[dict[tuple[int, int], int], bool]:
    """How many copies of each row stand in each slot, using `share` of its area, and whether that is proven best.

    The search begins at `hint`, an earlier answer.
    """
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    number, used = {}, {}
    cost = []
    for i, item in enumerate(items):
        here = []
        for s, slot in enumerate(slots):
            if not _fits(item, slot):
                continue
            number[i, s] = model.new_int_var(0, item.container.count, f"n{i}_{s}")
            used[i, s] = model.new_bool_var(f"u{i}_{s}")
            model.add(number[i, s] >= used[i, s])
            model.add(number[i, s] <= item.container.count * used[i, s])
            if hint:
                model.add_hint(number[i, s], hint.get((i, s), 0))
            here.append(number[i, s])
            cost.append(number[i, s] * _height_cost(item, slot) + used[i, s] * 15)
        dropped = model.new_int_var(0, item.container.count, f"d{i}")
        model.add(sum(here) + dropped == item.container.count)
        cost.append(dropped * _DROP)
    for s, slot in enumerate(slots):
        inside = [(i, number[i, s]) for i in range(len(items)) if (i, s) in number]
        area = int(_area(slot) * share[s])
        model.add(sum(count * _cells(items[i]) for i, count in inside) <= area)
    for shelf in {id(slot.shelf): slot.shelf for slot in slots}.values():
        load = [
            number[i, s] * math.ceil(items[i].size.mass * 100)
            for s, slot in enumerate(slots)
            if slot.shelf is shelf
            for i in range(len(items))
            if (i, s) in number
        ]
        if load:
            model.add(sum(load) <= int(shelf.max_load * 100))
    _apart(model, items, slots, conflicts, used, cost)
    model.minimize(sum(cost))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed % 2**31
    solver.parameters.linearization_level = 2
    solver.parameters.cp_model_probing_level = (
        0  # the linear relaxation proves such plans; probing costs more than it saves
    )
    solver.parameters.max_deterministic_time = seconds
    solver.parameters.max_time_in_seconds = 60.0
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return {}, False
    return {key: solver.value(count) for key, count in number.items()}, status == cp_model.OPTIMAL


def _apart(
    model: object,
    items: list[_Item],
    slots: list[_Slot],
    conflicts: Sequence[Conflict],
    used: dict[tuple[int, int], object],
    cost: list[object],
) -> None:
    """Pairs that need another tray, compartment or cabinet; each pair left together costs much and is reported."""
    index = {item.container.key: i for i, item in enumerate(items)}
    gravest: dict[tuple[int, int], Severity] = {}
    for conflict in conflicts:
        if conflict.first in index and conflict.second in index:
            one, other = sorted((index[conflict.first], index[conflict.second]))
            gravest[one, other] = max(
                gravest.get((one, other), conflict.severity), conflict.severity, key=SEVERITIES.index
            )
    known: dict[tuple[int, Severity], dict[object, object]] = {}

    def inside(item: int, severity: Severity) -> dict[object, object]:
        """For each tray, compartment or cabinet, whether any copy of a row stands in it."""
        if (item, severity) not in known:
            found: dict[object, object] = {}
            for s, slot in enumerate(slots):
                if (item, s) in used:
                    shared = _shared(slot.place, severity)
                    if shared not in found:
                        found[shared] = model.new_bool_var(f"i{item}_{severity}_{len(found)}")  # type: ignore[attr-defined]
                    model.add_implication(used[item, s], found[shared])  # type: ignore[attr-defined]
            known[item, severity] = found
        return known[item, severity]

    for (one, other), severity in gravest.items():
        broken = model.new_bool_var(f"b{one}_{other}")  # type: ignore[attr-defined]
        cost.append(broken * _BROKEN)
        mine, theirs = inside(one, severity), inside(other, severity)
        for shared in (shared for shared in mine if shared in theirs):
            model.add(mine[shared] + theirs[shared] <= 1 + broken)  # type: ignore[attr-defined, operator]


def _shared(place: _Place, severity: Severity) -> object:
    """What two containers at one place would share that a conflict of this severity forbids."""
    if severity in AIR:
        return place[0]
    return place[:2] if severity == "separate compartment" else place


def _height_cost(item: _Item, slot: _Slot) -> int:
    """Soft costs of one copy at one height."""
    height = slot.shelf.height
    cost = height * (2.0 + 6.0 * item.liquid + 2.0 * item.size.mass)
    if item.corrosive and height + item.size.height > EYE_LEVEL:
        cost += _ABOVE_EYES / 10
    if item.liquid and slot.shelf.tray_volume is None:
        cost += 60.0
    middle = (slot.x + slot.width / 2) / slot.shelf.width
    cost += _ASIDE * abs(middle - _SIDE[item.kind])
    return round(10 * cost)


def _lay_out(items: list[_Item], slots: list[_Slot], counts: dict[tuple[int, int], int]) -> list[Placed]:
    """Rows of circles from the back: tall behind, the next row in front. What finds no room is left out and reported."""
    placed = []
    copies = dict.fromkeys(range(len(items)), 0)
    for s, slot in enumerate(slots):
        here = [(i, count) for (i, where), count in counts.items() if where == s and count]
        here.sort(key=lambda entry: (-items[entry[0]].size.diameter, entry[0]))
        rows: list[list[float]] = []  # depth from the back, height of the row, filled width
        for i, count in here:
            size = items[i].size
            side = size.diameter + _GAP
            for _ in range(count):
                row = next(
                    (line for line in rows if line[1] >= side and line[2] + side <= slot.width + 1e-9), None
                )
                if row is None:
                    back = sum(line[1] for line in rows)
                    if back + side > slot.shelf.depth + 1e-9:
                        break
                    row = [back, side, 0.0]
                    rows.append(row)
                copies[i] += 1
                placed.append(
                    Placed(
                        container=items[i].container.key,
                        copy=copies[i],
                        label=str(i + 1),
                        compartment=slot.compartment,
                        shelf=slot.shelf.key,
                        tray=slot.tray,
                        x=slot.x + row[2] + side / 2,
                        y=slot.shelf.depth - row[0] - side / 2,
                        diameter=size.diameter,
                        height=size.height,
                        mass=size.mass,
                        kind=items[i].kind,
                        cabinet=slot.cabinet,
                    )
                )
                row[2] += side
    return placed


def _kept(conflict: Conflict, where: dict[str, set[_Place]]) -> bool:
    """Whether the plan keeps a conflict apart; what is not in the cabinet conflicts with nothing."""
    first, second = (
        {_shared(place, conflict.severity) for place in where.get(key, ())}
        for key in (conflict.first, conflict.second)
    )
    return not first & second


def _why(item: _Item, slots: list[_Slot], count: int) -> str:
    """Why a row is not wholly placed."""
    if count:
        return f"only {count} of {item.container.count} find room."
    if all(item.size.height > slot.shelf.clear_height for slot in slots):
        return f"about {item.size.height:.2f} m high, more than any shelf clears."
    if not any(_fits(item, slot) for slot in slots):
        if item.liquid:
            return "no tray holds 110 % of it, or none is wide enough."
        return "it is wider than any tray or shelf."
    return "no room is left where it may stand."
