"""Is the trail whole, and is what is stored what the trail says? Looks, and changes nothing."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import groupby
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol

from stillroom.records import merkle
from stillroom.records.canonical import canonical
from stillroom.records.chain import INSTALLATION, Entry, genesis, hash_of
from stillroom.records.keys import verifies
from stillroom.records.notes import Note

if TYPE_CHECKING:
    from stillroom.records.tracked import Tracked

__all__ = ["Database", "Finding", "Log", "Paper", "Report", "States", "Stored", "check", "compare", "verify"]


class Finding(NamedTuple):
    """One thing that is not as it was written: in which log, at which event or row, and what."""

    log: str
    where: str
    what: str

    def __str__(self) -> str:
        return " · ".join(filter(None, (self.log and f"log {self.log}", self.where, self.what)))


class Paper(NamedTuple):
    """A head as printed: the number of an event [-], and the first digits of its hash."""

    seq: int
    head: str


class Log(NamedTuple):
    """A log as it was found."""

    name: str
    size: int
    head: str
    root: str


@dataclass
class Report:
    """What was looked at and what was found; whole where nothing was."""

    logs: list[Log] = field(default_factory=list)
    checkpoints: int = 0
    rows: int = 0
    validations: int = 0
    findings: list[Finding] = field(default_factory=list)

    @property
    def whole(self) -> bool:
        return not self.findings


class Stored(Protocol):
    """Where events and checkpoints are read from."""

    def events(self) -> Iterable[Entry]:
        """Every event, by log and number."""

    def checkpoints(self) -> Iterable[Note]:
        """Every checkpoint."""


def check(
    stored: Stored,
    *,
    keys: Mapping[str, bytes],
    kept: Iterable[Note] = (),
    papers: Iterable[Paper] = (),
    each: Callable[[Entry], None] = lambda entry: None,
) -> Report:
    """Follow every log from its beginning, against the checkpoints stored with it and those kept elsewhere.

    Parameters
    ----------
    stored : Stored
    keys : mapping of str to bytes
        Key id → public key, from outside the database.
    kept : iterable of Note
        Checkpoints from outside the database.
    papers : iterable of Paper
        Heads as printed.
    each : callable
        Gets every event.
    """
    report = Report()
    notes = _notes(stored.checkpoints(), kept, keys, report)
    wanted = dict.fromkeys(papers, False)
    firsts: dict[str, str] = {}
    opened: dict[str, str] = {}
    for name, entries in groupby(stored.events(), key=lambda entry: entry.log):
        log = _follow(name, entries, notes.pop(name, {}), wanted, firsts, opened, each, report)
        report.logs.append(log)
    for name, anchors in notes.items():
        size = max(anchors)
        report.findings.append(Finding(name, "", f"the whole log is gone; a checkpoint knows {size} events"))
    if firsts or opened:
        _logs_that_should_be(firsts, opened, report)
    for paper, found in wanted.items():
        if not found:
            what = (
                f"no log has the head {paper.head} of the paper there: the log was shortened or rewritten, "
                "or the paper comes from another installation"
            )
            report.findings.append(Finding("", f"event {paper.seq}", what))
    return report


def _notes(
    inside: Iterable[Note], outside: Iterable[Note], keys: Mapping[str, bytes], report: Report
) -> dict[str, dict[int, list[Note]]]:
    """Log → size → checkpoints whose signature holds; those whose does not are findings."""
    found: dict[str, dict[int, list[Note]]] = {}
    own, copies = list(inside), list(outside)
    for note in dict.fromkeys((*own, *copies)):
        report.checkpoints += 1
        where = f"checkpoint of {note.size} events"
        if note.key_id not in keys:
            report.findings.append(
                Finding(note.log, where, f"is signed by an unknown key ({note.key_id or 'none'})")
            )
        elif not verifies(keys[note.key_id], note.body, note.signature):
            report.findings.append(Finding(note.log, where, "its signature does not belong to it"))
        else:
            found.setdefault(note.log, {}).setdefault(note.size, []).append(note)
    return found


def _follow(
    name: str,
    entries: Iterable[Entry],
    anchors: dict[int, list[Note]],
    papers: dict[Paper, bool],
    firsts: dict[str, str],
    opened: dict[str, str],
    each: Callable[[Entry], None],
    report: Report,
) -> Log:
    """One log from its first event to its last."""
    last, size, number = genesis(name), 0, 0
    peaks: list[bytes] = []
    seqs: dict[int, list[Paper]] = {}
    for paper in papers:
        seqs.setdefault(paper.seq, []).append(paper)

    def find(where: str, what: str) -> None:
        report.findings.append(Finding(name, where, what))

    for entry in entries:
        where = f"event {entry.seq} ({entry.action} of {entry.subject})"
        if entry.seq > number + 1:
            gone = (
                f"event {number + 1}" if entry.seq == number + 2 else f"events {number + 1}–{entry.seq - 1}"
            )
            find(gone, "missing")
        elif entry.seq <= number:
            find(where, "stands twice or out of order")
        if hash_of(entry) != entry.hash:
            find(where, "was altered: it does not have its hash")
        elif entry.prev != last and entry.seq == number + 1:
            find(where, "does not follow the event before it")
        if not size:
            firsts[name] = entry.hash
        if name == INSTALLATION and entry.action == "log.opened":
            new = json.loads(entry.body)["new"]
            opened[new["log"]] = new["first"]
        last, number = entry.hash, entry.seq
        size = merkle.grow(peaks, size, [_bytes(entry.hash)])
        for paper in seqs.get(number, ()):
            papers[paper] |= entry.hash.startswith(paper.head)
        for note in anchors.pop(size, ()):
            if (note.head, note.root) != (last, merkle.root(peaks).hex()):
                find(f"events 1–{size}", f"are not those of the checkpoint signed at {note.at}")
        each(entry)
    if anchors:
        longest = max(anchors)
        find(
            f"event {number + 1} and after",
            f"cut off: the log ends at {size}, a checkpoint signed at {anchors[longest][0].at} knows {longest} events",
        )
    return Log(name, size, last, merkle.root(peaks).hex())


def _bytes(hash_: str) -> bytes:
    try:
        return bytes.fromhex(hash_)
    except ValueError:  # an altered row can hold anything; it was found as altered
        return hash_.encode()


def _logs_that_should_be(firsts: dict[str, str], opened: dict[str, str], report: Report) -> None:
    """The installation's log knows every other log by its first event."""
    for name in sorted(set(opened) | (set(firsts) - {INSTALLATION})):
        if name not in firsts:
            report.findings.append(
                Finding(name, "", "the whole log is gone; the installation's log knows it")
            )
        elif name not in opened:
            report.findings.append(Finding(name, "", "the installation's log does not know of this log"))
        elif firsts[name] != opened[name]:
            report.findings.append(
                Finding(
                    name, "event 1", "is not the one that the installation's log knows: the log was rewritten"
                )
            )


# -- what is stored, against what the trail says of it --


def verify(
    *,
    kept: Iterable[Note] = (),
    papers: Iterable[Paper] = (),
    keys: Mapping[str, bytes] | None = None,
) -> Report:
    """The installation's own database: every log, every tracked row against its events, every validation.

    Parameters
    ----------
    kept : iterable of Note
        Further checkpoints; the copies in the data directory and in $STILLROOM_CHECKPOINTS are always used.
    papers : iterable of Paper
        Heads as printed.
    keys : mapping of str to bytes
        Key id → public key; those of the data directory where none are given.
    """
    from stillroom.records.checkpoints import copies
    from stillroom.records.keys import public_keys

    keys = public_keys() if keys is None else keys
    states = States()
    notes = [note for _, note in copies()]
    report = check(Database(), keys=keys, kept=[*notes, *kept], papers=papers, each=states.take)
    _rows(states, report)
    _validations(keys, report)
    return report


class Database:
    """The events and checkpoints of Django's database."""

    def events(self) -> Iterator[Entry]:
        from stillroom.records.chain import FIELDS
        from stillroom.records.models import Event

        rows = Event.objects.order_by("log", "seq", "pk").values_list(*FIELDS)
        return (Entry(*row) for row in rows.iterator(chunk_size=5000))

    def checkpoints(self) -> Iterator[Note]:
        from stillroom.records.models import Checkpoint

        return (Note(*row) for row in Checkpoint.objects.order_by("log", "size").values_list(*Note._fields))


class States:
    """What the events say is stored: subject → its values; None once it was deleted."""

    def __init__(self) -> None:
        self.rows: dict[str, dict[str, Any] | None] = {}
        self.heads: dict[str, int] = {}

    def take(self, entry: Entry) -> None:
        self.heads[entry.log] = entry.seq
        try:
            body = json.loads(entry.body)
        except ValueError:  # an altered body; it was found as altered
            return
        if not isinstance(body, dict) or body.keys() != {"new", "old"} or entry.action == "log.opened":
            return
        known = self.rows.get(entry.subject)
        self.rows[entry.subject] = None if body["new"] is None else {**(known or {}), **body["new"]}

    def take_later(self) -> bool:
        """Events that came while rows were read; whether there were any."""
        from stillroom.records.chain import FIELDS
        from stillroom.records.models import Event

        before = dict(self.heads)
        for log in Event.objects.order_by().values_list("log", flat=True).distinct():
            rows = Event.objects.filter(log=log, seq__gt=before.get(log, 0)).order_by("seq")
            for row in rows.values_list(*FIELDS):
                self.take(Entry(*row))
        return self.heads != before


def _rows(states: States, report: Report) -> None:
    """Compare; where something differs, once more with the events that came meanwhile."""
    for _ in range(3):
        report.rows, wrong = compare(states, _stored_rows())
        if not wrong or not states.take_later():
            break
    report.findings += wrong


def _stored_rows() -> Iterator[tuple[type[Tracked], dict[str, Any]]]:
    from stillroom.records.tracked import kinds

    for model in kinds():
        rows = model._base_manager.order_by("pk").values(*model.tracked_fields())
        for stored in rows.iterator(chunk_size=200):
            yield model, stored


def compare(
    states: States, rows: Iterable[tuple[type[Tracked], dict[str, Any]]]
) -> tuple[int, list[Finding]]:
    """Tracked rows against what the events say; how many rows there are [-], and where they differ."""
    seen: Counter[str] = Counter()
    wrong: list[Finding] = []
    for model, stored in rows:
        subject = model.subject_of(stored)
        seen[subject] += 1
        said = states.rows.get(subject)
        if said is None:
            wrong.append(Finding("", subject, "was put into the database behind the trail's back"))
            continue
        now = model.noted(stored)
        moved = [name for name in said if name in now and canonical(now[name]) != canonical(said[name])]
        if moved:
            wrong.append(
                Finding("", subject, f"was altered behind the trail's back: {', '.join(sorted(moved))}")
            )
    for subject, said in states.rows.items():
        if said is not None and not seen[subject]:
            wrong.append(Finding("", subject, "was removed from the database behind the trail's back"))
        elif seen[subject] > 1:
            wrong.append(Finding("", subject, "is there more than once"))
    return sum(seen.values()), wrong


def _validations(keys: Mapping[str, bytes], report: Report) -> None:
    from stillroom.records.models import Review, Validation
    from stillroom.records.statement import faults, review_faults

    rows = Validation.objects.select_related("organisation", "cabinet", "supersedes").order_by("pk")
    for validation in rows.iterator(chunk_size=100):
        report.validations += 1
        for fault in faults(validation, keys):
            report.findings.append(
                Finding(
                    validation.organisation.key, f"validation {validation.number} ({validation.key})", fault
                )
            )
    reviews = Review.objects.select_related("organisation", "validation").order_by("pk")
    for review in reviews.iterator(chunk_size=100):
        signed = review.validation
        report.findings += [
            Finding(review.organisation.key, f"review of validation {signed.number} ({signed.key})", fault)
            for fault in review_faults(review, keys)
        ]
