"""The trail: the one way to write what is stored. Each write leaves an event in the same transaction.

::

    with trail.writing(organisation, user, reason="signed") as write:
        validation.save()
        write.call(validation, "assessment.signed")

Everything saved or deleted inside is compared with what was stored before, row by row; one event a row, with its
old and new values, is added to the chain of the organisation's log. If anything fails, nothing is written at all.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any, NamedTuple

from django.db import connection, models, transaction
from django.db.models.signals import post_save, pre_delete, pre_save
from django.utils import timezone

from stillroom.errors import StillroomError
from stillroom.records import guards
from stillroom.records.canonical import canonical, plain, sha256
from stillroom.records.chain import ALGORITHM, INSTALLATION, Entry, genesis, hash_of
from stillroom.records.checkpoints import make_when_due
from stillroom.records.models import Event, Organisation, User
from stillroom.records.models.trail import Appended
from stillroom.records.tracked import Frozen, NotThroughTrail, Tracked

__all__ = [
    "Frozen",
    "Head",
    "NotThroughTrail",
    "Write",
    "WrongOrganisation",
    "events",
    "head",
    "putting_back",
    "watch",
    "writing",
]


class WrongOrganisation(StillroomError):
    """A row of one organisation was to be written while writing for another."""


class Head(NamedTuple):
    """Where a log stands: the number of its last event, and that event's hash. Before the first: 0 and the genesis."""

    log: str
    seq: int
    hash: str


@dataclass
class _Note:
    """What is known of a row touched in this transaction."""

    model: type[Tracked]
    pk: Any
    old: dict[str, Any] | None
    actor: str
    reason: str
    only: str
    """The one log it may be written to; empty where any."""
    action: str = ""


class Write:
    """One transaction's writes: who, why, for which organisation, and the rows touched so far."""

    def __init__(
        self, organisation: Organisation | None, actor: str, reason: str, outer: Write | None
    ) -> None:
        self.organisation, self.actor, self.reason = organisation, actor, reason
        self.log = organisation.key if organisation else INSTALLATION
        self.notes: dict[tuple[type[Tracked], Any], _Note] = outer.notes if outer else {}
        self.said: list[tuple[str, _Said]] = outer.said if outer else []

    def call(self, row: Tracked, action: str) -> None:
        """Name what is done to this row ("assessment.signed"); without, it is "validation.created" and the like."""
        self.notes[type(row), row.pk].action = action

    def say(self, action: str, subject: str, *, log: str = "", **body: Any) -> None:
        """An event that changes no row, for instance that a copy was restored; in another log where one is named."""
        said = _Said(self.actor, action, subject, self.reason, canonical(body))
        self.said.append((log or self.log, said))

    def note(self, model: type[Tracked], pk: Any, old: dict[str, Any] | None) -> None:
        only = self.log if self.organisation else ""
        self.notes.setdefault((model, pk), _Note(model, pk, old, self.actor, self.reason, only))


class _Said(NamedTuple):
    """An event without its place in a chain."""

    actor: str
    action: str
    subject: str
    reason: str
    body: str


_current: ContextVar[Write | None] = ContextVar("trail", default=None)
_appending: ContextVar[bool] = ContextVar("appending", default=False)
_putting_back: ContextVar[bool] = ContextVar("putting back", default=False)


@contextmanager
def writing(organisation: Organisation | None, actor: User | str, *, reason: str) -> Iterator[Write]:
    """Open one transaction in which tracked rows may be written.

    Parameters
    ----------
    organisation :
        Whose rows are written; None where people and organisations themselves are (any organisation's rows may be).
    actor :
        Who does it: the person, or a word for a program.
    reason :
        Why; never empty.

    Notes
    -----
    Inside another `writing` it joins that transaction, as a savepoint, with its own actor and reason.
    Nothing slow belongs inside: one organisation's writers wait for each other.
    """
    if not reason.strip():
        raise ValueError("a write needs a reason")
    outer = _current.get()
    if outer and outer.organisation and outer.organisation != organisation:
        raise WrongOrganisation(
            "A write for one organisation cannot hold one for another. Write one after the other."
        )
    write = Write(organisation, actor if isinstance(actor, str) else actor.get_username(), reason, outer)
    guards.check(connection)
    with transaction.atomic():
        if organisation:
            _lock(organisation.key)
        token = _current.set(write)
        try:
            yield write
        finally:
            _current.reset(token)
        if not outer:
            _append(write)


@contextmanager
def putting_back() -> Iterator[None]:
    """Rows of a backup go in as they were, with the events that they had, and leave no new ones; inside `writing` only."""
    if _current.get() is None:
        raise NotThroughTrail("Rows are put back inside trail.writing(None, actor, reason=…) only.")
    token = _putting_back.set(True)
    try:
        yield
    finally:
        _putting_back.reset(token)


def head(of: Organisation | str) -> Head:
    """Where the log of the organisation stands. Inside `writing` for it nobody else can move it."""
    log = of if isinstance(of, str) else of.key
    last = Event.objects.filter(log=log).order_by("-seq").values_list("seq", "hash").first()
    return Head(log, *(last or (0, genesis(log))))


def events(organisation: Organisation | None) -> models.QuerySet[Event]:
    """The organisation's events, newest first; none without one."""
    rows = Event.objects.order_by("-seq")
    return rows.filter(log=organisation.key) if organisation else rows.none()


def watch() -> None:
    """Have Django tell the trail of every row that is saved or deleted; called once, at start."""
    from django.apps import apps

    for model in apps.get_models():
        if issubclass(model, Tracked | Appended):
            name = f"trail.{model.__name__}"
            pre_save.connect(_before_save, sender=model, dispatch_uid=name)
            pre_delete.connect(_before_delete, sender=model, dispatch_uid=name)
        if issubclass(model, Tracked):
            post_save.connect(_after_save, sender=model, dispatch_uid=name)


def _before_save(
    sender: type[models.Model], instance: models.Model, update_fields: Any = None, **_: Any
) -> None:
    if _putting_back.get():
        return
    if issubclass(sender, Appended):
        if not _appending.get():
            raise Frozen(f"Only the trail adds {sender._meta.verbose_name_plural}, and nobody changes them.")
        return
    if update_fields and frozenset(update_fields) <= sender.exempt:
        return
    write = _write_for(sender, "save()")
    stored = sender.stored(instance.pk)
    if stored:
        _allow(sender, stored, write)
        write.note(sender, instance.pk, stored)


def _after_save(sender: type[Tracked], instance: Tracked, update_fields: Any = None, **_: Any) -> None:
    if not _putting_back.get() and not (update_fields and frozenset(update_fields) <= sender.exempt):
        _write_for(sender, "save()").note(sender, instance.pk, None)


def _before_delete(sender: type[models.Model], instance: models.Model, **_: Any) -> None:
    if issubclass(sender, Appended):
        raise Frozen(f"Nobody deletes {sender._meta.verbose_name_plural}.")
    write = _write_for(sender, "delete()")
    stored = sender.stored(instance.pk)
    if stored:
        _allow(sender, stored, write)
        write.note(sender, instance.pk, stored)


def _write_for(model: type[Tracked], verb: str) -> Write:
    write = _current.get()
    if write is None:
        raise NotThroughTrail(
            f"{verb} on {model._meta.verbose_name_plural} outside the trail. "
            "Write inside trail.writing(organisation, actor, reason=…)."
        )
    return write


def _allow(model: type[Tracked], stored: dict[str, Any], write: Write) -> None:
    if model.is_frozen(stored):
        raise Frozen(
            f"This {model._meta.verbose_name} is kept as it was made and is never edited or deleted. Make a new one."
        )


def _append(write: Write) -> None:
    """Add an event for each row that differs from what was stored, and the events that were said."""
    found: dict[str, list[_Said]] = {}
    for note in write.notes.values():
        said = _difference(note)
        if said and note.only not in ("", said[0]) and said[0] != INSTALLATION:
            raise WrongOrganisation("A row of another organisation was written. Nothing was kept.")
        if said:
            found.setdefault(said[0], []).append(said[1])
    for log, said in write.said:
        found.setdefault(log, []).append(said)
    token = _appending.set(True)
    try:
        for log in sorted(set(found) - {INSTALLATION}):
            _lock(log)
            opened = _extend(log, found[log])
            if opened:
                note = canonical({"new": {"first": opened, "log": log}, "old": None})
                found.setdefault(INSTALLATION, []).append(
                    _Said(write.actor, "log.opened", f"log:{log}", write.reason, note)
                )
        if INSTALLATION in found:
            _lock(INSTALLATION)
            _extend(INSTALLATION, found[INSTALLATION])
    finally:
        _appending.reset(token)


def _difference(note: _Note) -> tuple[str, _Said] | None:
    """The log and the event of a row: what changed between its first touch and now; none where nothing did."""
    model, stored = note.model, note.model.stored(note.pk)
    old = model.noted(note.old) if note.old else None
    new = model.noted(stored) if stored else None
    if old == new:
        return None
    whole = new or old or {}
    verb = "changed" if old and new else "created" if new else "deleted"
    if old and new:
        moved = [name for name in new if new[name] != old[name]]
        old, new = ({name: side[name] for name in moved} for side in (old, new))
    said = _Said(
        note.actor,
        note.action or f"{model._meta.model_name}.{verb}",
        model.subject_of(whole),
        note.reason,
        canonical({"new": new, "old": old}),
    )
    return model.log_of(whole), said


def _extend(log: str, said: list[_Said]) -> str:
    """Chain the events to the log's head; gives the first one's hash where the log begins with it."""
    _, before, last = head(log)
    first = at = ""
    seq = before
    for event in said:
        seq, at = seq + 1, plain(timezone.now())
        entry = Entry(
            log,
            seq,
            last,
            at,
            event.actor,
            event.action,
            event.subject,
            event.reason,
            event.body,
            ALGORITHM,
            "",
        )
        last = hash_of(entry)
        Event(**entry._replace(hash=last)._asdict()).save(force_insert=True)
        first = first or last
    make_when_due(log, seq, at)
    return "" if before else first


def _lock(log: str) -> None:
    """One writer a log until the transaction ends. SQLite's transactions are that already."""
    if connection.vendor == "postgresql":
        number = int.from_bytes(bytes.fromhex(sha256(f"stillroom log {log}")[:16]), signed=True)
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [number])
