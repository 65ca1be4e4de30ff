"""Replace the filter of a cabinet: what was put in, what was taken out, and that the seal holds."""

from __future__ import annotations

import datetime
from dataclasses import asdict, dataclass
from typing import Any

from django.db import IntegrityError

from stillroom.errors import InputError, Problem
from stillroom.records.models import Cabinet, FilterChange, User
from stillroom.records.trail import writing

__all__ = ["LEAK_RESULTS", "LeakCheck", "NewBed", "replace_filter"]

LEAK_RESULTS = ("passed", "failed", "not done")


@dataclass(frozen=True, slots=True)
class NewBed:
    """A bed as put in."""

    medium: str
    mass_kg: float
    """of the medium [kg]"""
    serial: str
    weighed_g: float | None = None
    """the whole cartridge on a balance, before it was put in [g]"""


@dataclass(frozen=True, slots=True)
class LeakCheck:
    """Whether the seal and the particulate filter hold."""

    result: str
    """one of `LEAK_RESULTS`"""
    method: str = ""
    limit: str = ""
    """what it was held against, in words"""


def replace_filter(
    cabinet: Cabinet,
    user: User,
    *,
    key: str,
    on: datetime.date,
    by: str,
    beds: list[NewBed],
    leak_check: LeakCheck,
    removed_mass_g: float | None,
    reason: str,
    today: datetime.date,
) -> FilterChange:
    """Keep a filter change; the filter's life starts anew on its date.

    Parameters
    ----------
    cabinet : Cabinet
    user : User
        Who enters it.
    key : str
        Of the change, made when the form was opened: sent twice it is kept once.
    on : datetime.date
    by : str
        Who changed it.
    beds : list of NewBed
        In the order in which the air meets them.
    leak_check : LeakCheck
    removed_mass_g : float or None
        Whole cartridges taken out, on a balance [g].
    reason : str
    today : datetime.date

    Raises
    ------
    InputError
        The date lies in the future or before the last change, a serial number is in use already, or the form was sent
        before with something else in it.
    """
    known = FilterChange.objects.filter(key=key, organisation=cabinet.organisation).first()
    told = {
        "cabinet": cabinet,
        "on": on,
        "by": by,
        "stack": [asdict(bed) for bed in beds],
        "leak_check": asdict(leak_check),
        "removed_mass_g": removed_mass_g,
        "reason": reason,
    }
    if known:
        return _same(known, told)
    _check(cabinet, on, beds, leak_check, today)
    try:
        with writing(cabinet.organisation, user, reason=reason) as write:
            row: FilterChange = FilterChange.objects.create(
                organisation=cabinet.organisation, created_by=user, key=key, **told
            )
            write.call(row, "filter.changed")
    except IntegrityError:
        row = FilterChange.objects.filter(key=key, organisation=cabinet.organisation).first()
        if row is None:
            raise InputError(Problem("this form was sent before", "Open a new one.")) from None
        return _same(row, told)
    return row


def _same(kept: FilterChange, told: dict[str, Any]) -> FilterChange:
    """The change that was kept, where the same was sent again; what differs is never dropped without a word."""
    if any(getattr(kept, name) != value for name, value in told.items()):
        what = "this form was sent before, with something else in it; that is kept, and this is not"
        mend = "Open the page anew and enter what is right for the same day: it corrects what was entered."
        raise InputError(Problem(what, mend))
    return kept


def _check(
    cabinet: Cabinet, on: datetime.date, beds: list[NewBed], leak_check: LeakCheck, today: datetime.date
) -> None:
    problems = []
    last = cabinet.filter_changes.order_by("-on", "-pk").first()
    if on > today:
        problems.append(Problem("the change lies in the future", "Correct the date.", column="on"))
    if last and on < last.on:
        mend = "Correct the date; changes are entered in their order."
        problems.append(Problem(f"a later change, of {last.on}, is recorded", mend, column="on"))
    if not beds:
        problems.append(Problem("no bed was put in", "Enter the beds.", column="beds"))
    rows = FilterChange.objects.filter(organisation=cabinet.organisation)
    rows = rows.exclude(cabinet=cabinet, on=on)  # the same day again corrects what was entered
    used = {bed.get("serial") for row in rows for bed in row.stack}
    serials = [bed.serial for bed in beds]
    for place, serial in enumerate(serials, 1):
        if serial in used or serials.count(serial) > 1:
            problems.append(
                Problem(
                    "this serial number was put in before",
                    "A spent filter is not put in again; correct the number.",
                    row=place,
                    column="serial",
                    found=serial,
                )
            )
    if leak_check.result not in LEAK_RESULTS:
        problems.append(Problem("no such result", f"Choose {', '.join(LEAK_RESULTS)}.", column="leak"))
    if leak_check.result != "not done" and not leak_check.method:
        problems.append(Problem("the method of the leak check is missing", "Enter it.", column="method"))
    if problems:
        raise InputError(problems)
