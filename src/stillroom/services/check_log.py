"""Is one organisation's own log whole? The part of `services.audit` that its members may see."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from stillroom.records import keys, statement
from stillroom.records.chain import FIELDS, INSTALLATION, Entry, genesis, hash_of
from stillroom.records.checkpoints import copies
from stillroom.records.models import Checkpoint, Event, Organisation, Validation
from stillroom.records.notes import Note
from stillroom.services.audit import check

__all__ = ["Whole", "check_log", "faulty"]


@dataclass(frozen=True, slots=True)
class Whole:
    """What a look at all of a log found."""

    events: int
    checkpoints: int
    """signed, in the database and as copies outside it"""
    validations: int
    findings: tuple[str, ...]


def faulty(events: Sequence[Event]) -> dict[int, str]:
    """Number → what is wrong, of neighbouring events of one log, newest first.

    Parameters
    ----------
    events : sequence of Event
    """
    found: dict[int, str] = {}
    if not events:
        return found
    last = events[-1]
    older = Event.objects.filter(log=last.log, seq=last.seq - 1).values_list("hash", flat=True).first()
    before = [event.hash for event in events[1:]] + [older or genesis(last.log)]
    for event, prev in zip(events, before, strict=True):
        if hash_of(event.entry) != event.hash:
            found[event.seq] = "was altered"
        elif event.prev != prev:
            found[event.seq] = "does not follow the event before it"
    return found


def check_log(organisation: Organisation) -> Whole:
    """Follow the log from its first event against every checkpoint, and verify every signed record.

    Parameters
    ----------
    organisation : Organisation

    Notes
    -----
    That each stored row is what its events say is the matter of ``stillroom audit verify``, over all organisations.
    """
    public = keys.public_keys()
    own = _Own(organisation.key)
    report = check(own, keys=public, kept=[note for _, note in copies() if note.log == own.log])
    found = [
        f"{finding.where} {finding.what}".strip() for finding in report.findings if finding.log == own.log
    ]
    rows = Validation.objects.filter(organisation=organisation)
    rows = rows.select_related("organisation", "cabinet", "supersedes").order_by("number")
    count = 0
    for row in rows.iterator(chunk_size=100):
        count += 1
        found += [f"V{row.number}: {fault}" for fault in statement.faults(row, public)]
    size = next((log.size for log in report.logs if log.name == own.log), 0)
    return Whole(size, report.checkpoints, count, tuple(found))


class _Own:
    """One organisation's log, and the installation's, which knows how it began."""

    def __init__(self, log: str) -> None:
        self.log = log

    def events(self) -> Iterator[Entry]:
        rows = Event.objects.filter(log=INSTALLATION, action="log.opened") | Event.objects.filter(
            log=self.log
        )
        for row in rows.order_by("log", "seq", "pk").values_list(*FIELDS).iterator(chunk_size=5000):
            yield Entry(*row)

    def checkpoints(self) -> Iterable[Note]:
        rows = Checkpoint.objects.filter(log=self.log).order_by("size").values_list(*Note._fields)
        return (Note(*row) for row in rows)
