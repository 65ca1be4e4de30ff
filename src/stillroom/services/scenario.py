"""Play a scenario: events told in a file, each done by the service that pages and commands call, at the time it is told."""

from __future__ import annotations

import datetime
import inspect
import secrets
import tomllib
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest.mock import patch

from django.contrib.auth.hashers import make_password
from django.utils import timezone

from stillroom.errors import InputError, Problem
from stillroom.records.models import Membership, Organisation, User
from stillroom.records.store import add_member, first_user
from stillroom.services.scenario_steps import STEPS, Stage

__all__ = ["Played", "Scenario", "Told", "play", "read_scenario"]


@dataclass(frozen=True, slots=True)
class Scenario:
    """What a file tells."""

    folder: Path
    """of the file; the files that it names lie there"""
    draws: int
    organisation: str
    reason: str
    """why anything was written, with the first event of every log"""
    people: Sequence[dict[str, str]]
    """``username``, ``full_name``, ``role``; the first owns the organisation"""
    events: Sequence[dict[str, Any]]
    """``day`` (before the end, below zero), ``at`` ("09:30"), ``do`` and what that step takes"""


@dataclass(frozen=True, slots=True)
class Told:
    """One line of the story."""

    at: datetime.datetime
    what: str
    said: str
    """what was computed or answered"""

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d}  {self.what}." + (f"\n            {self.said}" if self.said else "")


@dataclass(frozen=True, slots=True)
class Played:
    """What was played."""

    stage: Stage
    story: tuple[Told, ...]
    passwords: dict[str, str]
    """user name to password, made at random here and kept nowhere else"""


def read_scenario(file: Path) -> Scenario:
    """The scenario of a file, every event looked at before any is played.

    Parameters
    ----------
    file : Path
        TOML.

    Raises
    ------
    InputError
        It is no TOML, or an event cannot be played: each with its number.
    """
    try:
        told = tomllib.loads(file.read_text("utf-8"))
        scenario = Scenario(
            folder=file.parent,
            draws=int(told["draws"]),
            organisation=told["organisation"],
            reason=told["reason"],
            people=told["person"],
            events=told["event"],
        )
    except (OSError, tomllib.TOMLDecodeError, KeyError) as error:
        mend = "It holds draws, organisation, reason, [[person]] and [[event]]."
        raise InputError(Problem(f"this is no scenario ({error})", mend, file=str(file))) from None
    problems = []
    before = datetime.timedelta.min
    for number, event in enumerate(scenario.events, 1):
        fault = _fault(event)
        after = datetime.timedelta.min if fault else _since(event)
        if not fault and after < before:
            fault = "it lies before the one above it"
        before = max(before, after)
        if fault:
            problems.append(Problem(fault, "Mend the event.", file=str(file), row=number))
    if problems:
        raise InputError(problems)
    return scenario


def play(
    scenario: Scenario, *, today: datetime.date, tell: Callable[[Told], None] = lambda _: None
) -> Played:
    """Do everything that it tells; it ends before `today`.

    Parameters
    ----------
    scenario : Scenario
    today : datetime.date
    tell : callable, optional
        Given each line as soon as it was played.

    Raises
    ------
    AlreadyInstalled
        The database has a user already: only an empty one is played into.

    Notes
    -----
    The clock of the process is set to each event's time, so that rows, trail and signatures tell the scenario's time.
    """
    passwords = {person["username"]: secrets.token_urlsafe(15) for person in scenario.people}
    story = []
    with _clock(_time(scenario.events[0], today)):
        stage = _begun(scenario, passwords)
    for event in scenario.events:
        at = _time(event, today)
        with _clock(at):
            what, said = STEPS[event["do"]](stage, **_arguments(event))
        story.append(Told(at, what, said))
        tell(story[-1])
    return Played(stage, tuple(story), passwords)


@contextmanager
def _clock(at: datetime.datetime) -> Iterator[None]:
    """This process's clock stands at `at`. Only here, and only on a database that was begun here."""
    with patch.object(timezone, "now", lambda: at):
        yield


def _begun(scenario: Scenario, passwords: dict[str, str]) -> Stage:
    first, *others = scenario.people
    owner = first_user(
        username=first["username"],
        full_name=first["full_name"],
        password_hash=make_password(passwords[first["username"]]),
        organisation=scenario.organisation,
        reason=scenario.reason,
    )
    organisation = Organisation.objects.get()
    people: dict[str, User] = {owner.get_username(): owner}
    for person in others:
        people[person["username"]] = add_member(
            organisation,
            owner,
            username=person["username"],
            full_name=person["full_name"],
            password_hash=make_password(passwords[person["username"]]),
            role=Membership.Role(person["role"]),
        )
    return Stage(scenario.folder, scenario.draws, organisation, people, passwords)


def _arguments(event: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in event.items() if name not in ("day", "at", "do")}


def _fault(event: dict[str, Any]) -> str:
    if event.get("do") not in STEPS:
        return f"there is no step “{event.get('do')}”; there are {', '.join(STEPS)}"
    try:
        inspect.signature(STEPS[event["do"]]).bind(None, **_arguments(event))
        if _since(event) >= datetime.timedelta():
            return "its day must lie below zero"
    except (TypeError, KeyError, ValueError) as error:
        return f"it cannot be played ({error})"
    return ""


def _since(event: dict[str, Any]) -> datetime.timedelta:
    time = datetime.time.fromisoformat(event["at"])
    return datetime.timedelta(days=int(event["day"]), hours=time.hour, minutes=time.minute)


def _time(event: dict[str, Any], today: datetime.date) -> datetime.datetime:
    at: datetime.datetime = timezone.make_aware(
        datetime.datetime.combine(today, datetime.time()) + _since(event)
    )
    return at
