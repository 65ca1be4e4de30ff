"""What is due over all cabinets: visits, replacements, expiries, rechecks, calibrations; overdue first."""

from __future__ import annotations

import datetime
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from stillroom import monitoring
from stillroom.records.models import Cabinet, Instrument, Organisation
from stillroom.records.tenancy import visible
from stillroom.room.model import SiteRules
from stillroom.services.forecast import Forecast, differences, foreseen
from stillroom.services.history import History, Signed, histories, history_of
from stillroom.services.in_place import approving, filter_at
from stillroom.services.instruments import calibration_on
from stillroom.services.recheck import changed_since

__all__ = ["KINDS", "Due", "due", "due_for", "in_use"]

Kind = Literal["validation", "expiry", "recheck", "replacement", "visit", "calibration"]
KINDS: tuple[Kind, ...] = ("validation", "expiry", "recheck", "replacement", "visit", "calibration")
"""In the order in which they stand on one day."""


@dataclass(frozen=True, slots=True)
class Due:
    """One thing to do."""

    kind: Kind
    subject: str
    """key of the cabinet, or of the instrument for a calibration"""
    name: str
    """of the cabinet or instrument"""
    site: str
    room: str
    place: str
    date: datetime.date
    """until when, that day included"""
    days: int
    """from today; below zero where it is overdue [days]"""
    what: str
    """what to do"""
    why: str
    risk: str = ""
    """why the cabinet protects less than its label says, or nobody knows; empty where that is not so"""

    @property
    def key(self) -> str:
        """The same for the same thing to do, also once its date moves."""
        return f"{self.kind}-{self.subject}"

    @property
    def overdue(self) -> bool:
        return self.days < 0

    def as_json(self) -> dict[str, Any]:
        names = ("kind", "subject", "name", "site", "room", "place", "days", "what", "why", "overdue", "risk")
        return {"key": self.key, "date": self.date.isoformat()} | {
            name: getattr(self, name) for name in names
        }


def in_use(organisation: Organisation, *, site: str | None = None) -> list[History]:
    """What is kept of the cabinets in use.

    Parameters
    ----------
    organisation : Organisation
    site : str, optional
        Of that site only.
    """
    rows = visible(Cabinet, organisation).filter(retired=None)
    return list(histories(rows if site is None else rows.filter(site=site)).values())


def due(
    organisation: Organisation,
    *,
    today: datetime.date,
    within_days: int | None = None,
    site: str | None = None,
    kept: Sequence[History] | None = None,
) -> list[Due]:
    """Everything that is to be done in an organisation, what is overdue the longest first.

    Parameters
    ----------
    organisation : Organisation
    today : datetime.date
        The clock is never asked.
    within_days : int, optional
        Leave out what is due later than so many days from today; what is overdue is never left out [days].
    site : str, optional
        Of the cabinets of that site only; instruments belong to none, so their calibrations stand in the whole list only.
    kept : sequence of History, optional
        What `in_use` told, where it was asked already.

    Notes
    -----
    *validation*: a cabinet in use that nothing approves. *expiry*: the validation's last day. *recheck*: made with what has
    changed since, due today. *replacement*: the forecast's date (`services.forecast`), due today where the filter in place is
    not the one validated or leaks. *visit*: the validation's interval after the last visit, or after a filter change whose
    leak check passed; today where the last readings do not fit, sooner where readings shortened the life, by the site's fraction of what was left then. *calibration*: where
    an instrument has none, due since it was entered.
    """
    found: list[Due] = []
    changed = _changed()
    for history in in_use(organisation, site=site) if kept is None else kept:
        found += _of_cabinet(history, today, changed)
    instruments = visible(Instrument, organisation).prefetch_related("calibrations")
    for instrument in instruments if site is None else ():
        found.append(_calibration(instrument, today))
    near = [item for item in found if within_days is None or item.days <= within_days]
    return sorted(
        near, key=lambda item: (item.date, KINDS.index(item.kind), item.site, item.name, item.subject)
    )


def due_for(cabinet: Cabinet, *, today: datetime.date) -> list[Due]:
    """What is to be done for one cabinet, the earliest first; nothing for one out of use.

    Parameters
    ----------
    cabinet : Cabinet
    today : datetime.date
    """
    if cabinet.retired is not None:
        return []
    found = _of_cabinet(history_of(cabinet), today, _changed())
    return sorted(found, key=lambda item: (item.date, KINDS.index(item.kind)))


def _item(
    cabinet: Cabinet,
    kind: Kind,
    date: datetime.date,
    today: datetime.date,
    what: str,
    why: str,
    risk: str = "",
) -> Due:
    where = (cabinet.name, cabinet.site, cabinet.room, cabinet.place)
    return Due(kind, cabinet.key, *where, date, (date - today).days, what, why, risk)


def _changed() -> Callable[[Mapping[str, str]], list[dict[str, str]]]:
    """`changed_since`, asked once for records that were made with the same versions."""
    known: dict[str, list[dict[str, str]]] = {}

    def asked(versions: Mapping[str, str]) -> list[dict[str, str]]:
        key = json.dumps(versions, sort_keys=True)
        if key not in known:
            known[key] = changed_since(versions)
        return known[key]

    return asked


def _unapproved(history: History, today: datetime.date) -> Due:
    """Since the day its last approval was withdrawn, or since it was put into use."""
    cabinet = history.cabinet
    last = next((item.row for item in history.validations if item.withdrawn), None)
    if last is not None:
        since, why = (
            last.withdrawal.at.date(),
            f"validation V{last.number} was withdrawn: {last.withdrawal.reason}",
        )
    else:
        since = cabinet.commissioned or cabinet.created_at.date()
        why = "no signed validation approves it"
    what = "Assess and sign, or take everything out"
    return _item(cabinet, "validation", min(since, today), today, what, why, "nothing approves it")


def _of_cabinet(
    history: History, today: datetime.date, changed_since: Callable[[Mapping[str, str]], list[dict[str, str]]]
) -> list[Due]:
    signed = approving(history)
    if signed is None:
        return [_unapproved(history, today)]
    cabinet, validation = history.cabinet, signed.row
    plan = foreseen(history, today)
    found = [_visit(history, signed, plan, today)]
    replacement = _replacement(history, signed, plan, today)
    if replacement is not None:
        found.append(replacement)
    if validation.valid_until is not None:
        until, number = validation.valid_until, validation.number
        past = until < today
        what = (
            "Validate again; the cabinet is not approved any more"
            if past
            else "Validate again before it ends"
        )
        risk = f"its validation ended on {until}" if past else ""
        why = f"validation V{number} holds until {until}"
        found.append(_item(cabinet, "expiry", until, today, what, why, risk))
    changed = changed_since(validation.assessment.versions)
    if changed:
        why = f"validation V{validation.number} was made with {', '.join(row['what'] for row in changed)}, changed since"
        found.append(_item(cabinet, "recheck", today, today, "Recheck the validation", why))
    return found


def _visit(history: History, signed: Signed, plan: Forecast, today: datetime.date) -> Due:
    """The interval of the validation's rule after the last time that somebody saw that all is well."""
    cabinet, assessed = history.cabinet, signed.assessed
    if assessed is None or signed.interval_days is None:
        return _item(cabinet, "visit", today, today, "Visit and read", "its record tells no interval")
    seen: list[tuple[datetime.date, str]] = [(assessed, f"assessed on {assessed}")]
    visit = next((on for on in history.visited if on <= today), None)
    if visit is not None:
        seen.append((visit, f"last visit on {visit}"))
    change = filter_at(history, today).change
    if change is not None and change.leak_check.get("result") == "passed":
        seen.append((change.on, f"new filter on {change.on}, leak check passed"))
    last, why = max(seen)
    if plan.readings == "inconsistent":
        why = "the last readings do not fit what was assessed, so its life is not to be trusted"
        what, risk = "Find out why the readings do not fit, and read again", "its last readings do not fit"
        return _item(cabinet, "visit", today, today, what, why, risk)
    days = int(signed.interval_days)
    rule = f"every {days} days"
    date = last + datetime.timedelta(days=days)
    if change is not None and change.leak_check.get("result") == "not done" and change.on >= last:
        return _item(cabinet, "visit", change.on, today, "Read the exhaust", f"filter changed on {change.on} with no leak check")  # fmt: skip
    label = _label_end(plan.since, signed.label_life_days)
    if plan.basis == "readings" and plan.by is not None and label is not None and plan.by < label:
        rules, usual = signed.rules, SiteRules()
        sooner = monitoring.next_visit(
            date=last,
            cautious_life_days=float(max((plan.by - last).days, 0)),
            fraction=rules.get("visit_fraction_of_life", usual.visit_fraction_of_life),
            longest_days=rules.get("visit_longest_days", usual.visit_longest_days),
        )
        if sooner.next_visit < date:
            date, rule = sooner.next_visit, "sooner, because readings shortened the filter's life"
    return _item(cabinet, "visit", date, today, "Visit and read", f"{why}; {rule}")


def _label_end(since: datetime.date | None, life_days: float | None) -> datetime.date | None:
    return None if since is None or life_days is None else since + datetime.timedelta(days=int(life_days))


def _replacement(history: History, signed: Signed, plan: Forecast, today: datetime.date) -> Due | None:
    cabinet, validation, what = history.cabinet, signed.row, "Replace the filters"
    if plan.by is not None:
        return _item(
            cabinet, "replacement", plan.by, today, what, " ".join(plan.words), _past(plan.by, today)
        )
    filters = filter_at(history, today)
    stack = filters.change.stack if filters.change else None
    unlike = [] if stack is None else differences(stack, signed.beds)
    leaks = filters.change is not None and filters.change.leak_check.get("result") == "failed"
    past = validation.valid_until is not None and validation.valid_until < today
    if past and not unlike and not leaks:
        ends = _label_end(filters.since, signed.label_life_days)
        why = f"in place since {filters.since}; its validation is past its date"
        return _item(cabinet, "replacement", ends, today, what, why, _past(ends, today)) if ends else None
    if plan.basis == "nothing":
        risk = (
            f"its filter is not the one that was validated: {'; '.join(unlike)}"
            if unlike
            else "the leak check of its filter failed"
            if leaks
            else "nobody knows since when its filter is in place"
        )
        what, why = "Look at the filters", risk if past else " ".join(plan.words)
        return _item(cabinet, "replacement", today, today, what, why, risk)
    return None


def _past(ends: datetime.date, today: datetime.date) -> str:
    return f"its filter was to be replaced by {ends}" if ends < today else ""


def _calibration(instrument: Instrument, today: datetime.date) -> Due:
    held = calibration_on(instrument, today)
    if held.last is None or held.due is None:
        date, why = min(instrument.created_at.date(), today), "no calibration of it is recorded"
    else:
        date, why = held.due, f"last calibrated on {held.last.on} by {held.last.by}"
    return Due(
        "calibration", instrument.key, instrument.name, "", "", "", date, (date - today).days,
        "Have the instrument calibrated", why,
    )  # fmt: skip
