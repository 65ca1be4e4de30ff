"""Assess an inventory and give the record."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date as Date

from stillroom.assessment.record import Record
from stillroom.cabinet.design import Cabinet
from stillroom.errors import InputError, Problem
from stillroom.inventory.model import Inventory
from stillroom.room.model import Room
from stillroom.services.computed import computed
from stillroom.services.record import as_record
from stillroom.substances import limits
from stillroom.substances.model import Limit

__all__ = ["assess", "typed_limits"]


def assess(
    inventory: Inventory,
    cabinet: Cabinet,
    room: Room,
    *,
    date: Date,
    title: str = "",
    seed: int = 1,
    draws: int = 1000,
    invented: bool = False,
    hand_limits: Sequence[Limit] = (),
) -> Record:
    """The record of one assessment.

    Parameters
    ----------
    inventory, cabinet, room :
        As read by `inventory.read`, `cabinet.load_cabinet`, `room.load_room`.
    date : datetime.date
        Of the assessment; the clock is never asked.
    title : str
        Whose cabinet this is, for the papers.
    seed : int
        Of the Monte Carlo draws [-].
    draws : int
        Number of draws, 100 … 20 000 [-].
    invented : bool
        Demo data: every paper says so.
    hand_limits : sequence of Limit
        Entered by the user, besides those of the room's file.

    Raises
    ------
    InputError
        Something in the input is wrong; `substances.limits.NeedsConfirmation` where a hand-entered limit looks like a slip.
    """
    _check_lists(room)
    _check_served(cabinet, date)
    typed = typed_limits(room)
    result = computed(inventory, cabinet, room, seed=seed, draws=draws, hand_limits=[*typed, *hand_limits])
    return as_record(result, date=date, title=title, invented=invented)


def typed_limits(room: Room) -> list[Limit]:
    """The limits that the room's file holds, typed by the user.

    Raises
    ------
    substances.limits.NeedsConfirmation
        One of them looks like a slip.
    """
    return [
        limits.by_hand(
            cas=row.cas,
            value=row.value,
            unit=row.unit,
            basis=row.basis,
            source_words=row.source_words,
            confirmed=row.confirmed,
        )
        for row in room.hand_limits
    ]


def _check_served(cabinet: Cabinet, date: Date) -> None:
    """What the filter served before lies between the day on which it was put in and the assessment's."""
    stack = cabinet.filters
    if not stack.served:
        return
    try:
        days = (date - Date.fromisoformat(stack.installed)).days
    except ValueError:
        mend = "Write it as 2026-03-01: what the filter served is counted from it."
        raise InputError(
            Problem("is no date", mend, column="filters.installed", found=stack.installed)
        ) from None
    if stack.served_days > days:
        what = f"the filter was put in {days} days before the assessment and cannot have served longer"
        mend = "Take out what an earlier filter served."
        raise InputError(Problem(what, mend, column="filters.served", found=f"{stack.served_days:g} days"))


def _check_lists(room: Room) -> None:
    for fault in limits.broken():
        if any(problem.file.removesuffix(".csv") in room.limit_lists for problem in fault.problems):
            raise fault
    known = [entry.key for entry in limits.lists()]
    problems = [
        Problem("there is no such list of limits", f"Choose among {', '.join(known)}.", found=key)
        for key in room.limit_lists
        if key not in known
    ]
    if problems:
        raise InputError(problems)
