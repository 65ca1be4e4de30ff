"""A backup: one file that holds every row, the trail and what verifies it, readable on either engine; made and checked.

The file is a ZIP archive: `manifest.json` (what is inside, with sizes and SHA-256), `manifest.sig` (the installation's
signature over it), `rows/KIND.jsonl` (one row a line), `trail-keys.txt`, the user's own lists of limits and, where it
is asked for, the private key. No member's name is ever used as a path of the disk's.
"""

from __future__ import annotations

import datetime
import hashlib
import json
import os
import re
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import IO, Any

from django.db import connections, models

from stillroom import __version__
from stillroom.errors import InputError, Problem
from stillroom.records import keys, rows
from stillroom.records.chain import FIELDS, Entry
from stillroom.records.models import Checkpoint, Event
from stillroom.records.notes import Note
from stillroom.records.snapshot import snapshot
from stillroom.records.tracked import Tracked
from stillroom.services.audit import Finding, Log, Report, States, check, compare
from stillroom.substances.limits import own

__all__ = ["Backup", "Contents", "Unfit", "make", "open_backup", "read_whole", "tables_up_to"]

FORMAT = 1
MANIFEST, SIGNATURE, KEYS, PRIVATE = "manifest.json", "manifest.sig", "trail-keys.txt", "trail-key"
_LIST = re.compile(r"limits/(earlier/)?[A-Za-z0-9][A-Za-z0-9._-]{0,99}\.csv")
_LARGEST = {MANIFEST: 1 << 20, SIGNATURE: 1 << 10, KEYS: 1 << 20, PRIVATE: 1 << 14}
"""Bytes that a member of this name may have."""
_LARGEST_LIST = 32 << 20
LONGEST_LINE = 256 << 20
"""Bytes of one row."""
MOST_BYTES = 64 << 30
"""Bytes that all members may unpack to together."""


class Unfit(InputError):
    """The file is no backup, is damaged, or was made for other tables."""


@dataclass(frozen=True)
class Contents:
    """What a backup says of itself, read and found to be so."""

    made_at: str
    program: str
    engine: str
    tables: str
    """last migration of the tables"""
    counts: dict[str, int]
    """rows by kind [-]"""
    logs: tuple[Log, ...]
    key_id: str
    """key that signed it"""
    private_key: bool
    sha256: str
    """of the whole file"""

    @property
    def rows(self) -> int:
        return sum(self.counts.values())

    def plain(self) -> dict[str, Any]:
        """As JSON takes it."""
        return asdict(self) | {"logs": [log._asdict() for log in self.logs]}


def tables_up_to(using: str = "default") -> str:
    """The last migration that this database's tables have seen."""
    from django.db.migrations.recorder import MigrationRecorder

    names = [
        name for app, name in MigrationRecorder(connections[using]).applied_migrations() if app == "records"
    ]
    return max(names, default="")


# -- make --


def make(file: Path, *, with_keys: bool = False) -> tuple[Contents, Report]:
    """Write a backup of this moment, read it back, and only then give it its name.

    Parameters
    ----------
    file : Path
        Where it goes; nothing may be there.
    with_keys : bool
        Put the private key in as well: whoever holds the file can then sign as this installation.

    Returns
    -------
    contents, report
        What is inside, and whether its trail is whole. One that is not is kept all the same, as evidence; it is not restored.

    Raises
    ------
    InputError
        There is a file of that name, or its folder cannot be written.
    Unfit
        What was read back is not what was written.
    """
    if file.exists():
        raise InputError(Problem("there is a file of that name", "Choose another.", file=str(file)))
    if tables_up_to() != tables_known():
        mend = "Start “stillroom serve” once: it brings them up to date."
        raise InputError(
            Problem("the database's tables are not those of this program", mend, found=tables_up_to())
        )
    part = file.with_name(f".{file.name}.{os.getpid()}.part")
    try:
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as out:
            with snapshot(file.parent) as using:
                _write(out, using, with_keys=with_keys)
            out.flush()
            os.fsync(out.fileno())
        with open_backup(part) as backup:
            contents, report = read_whole(backup)
        os.link(part, file)  # unlike a rename it never takes another file's place
        _sync(file.parent)
        return contents, report
    except FileExistsError:
        raise InputError(Problem("there is a file of that name", "Choose another.", file=str(file))) from None
    except OSError as error:
        why = error.strerror or str(error)
        raise InputError(
            Problem(f"cannot be written ({why})", "Choose another place.", file=str(file))
        ) from None
    finally:
        with suppress(OSError):
            part.unlink()


def _sync(folder: Path) -> None:
    """Have the folder itself on the disk, where the system can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _write(out: IO[bytes], using: str, *, with_keys: bool) -> None:
    own_key = keys.own_key()
    members: dict[str, dict[str, Any]] = {}
    counts: dict[str, int] = {}
    log = _Logs()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, allowZip64=True) as archive:

        def add(name: str, pieces: Iterable[bytes]) -> None:
            digest, size = hashlib.sha256(), 0
            with archive.open(_info(name), "w", force_zip64=True) as member:
                for piece in pieces:
                    digest.update(piece)
                    size += len(piece)
                    member.write(piece)
            members[name] = {"bytes": size, "sha256": digest.hexdigest()}

        for kind, model in rows.kept().items():
            counts[kind] = 0

            def lines(kind: str = kind, model: type[models.Model] = model) -> Iterator[bytes]:
                for row in rows.stored(model, using=using):
                    counts[kind] += 1
                    if model is Event:
                        log.take(row["log"], row["seq"], row["hash"])
                    yield rows.line(row).encode() + b"\n"

            add(f"rows/{kind}.jsonl", lines())
        add(KEYS, [(keys.directory() / KEYS).read_bytes()])
        if with_keys:
            add(PRIVATE, [own_key.pem()])
        for name, path in _own_lists():
            add(name, [path.read_bytes()])
        database = connections[using]
        manifest = {
            "what": "stillroom backup",
            "format": FORMAT,
            "made_at": datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds"),
            "program": __version__,
            "engine": f"{database.display_name} {'.'.join(map(str, database.get_database_version()))}",
            "tables": tables_up_to(using),
            "rows": counts,
            "members": members,
            "logs": [
                {"log": name, "size": size, "head": head} for name, (size, head) in sorted(log.ends.items())
            ],
            "left_out": list(rows.LEFT_OUT),
            "private_key": with_keys,
        }
        said = json.dumps(manifest, indent=1, sort_keys=True, ensure_ascii=False).encode()
        archive.writestr(_info(MANIFEST), said)
        archive.writestr(_info(SIGNATURE), f"{own_key.id} {own_key.sign(_signed(said))}\n")


def _info(name: str) -> zipfile.ZipInfo:
    """A member without a time of its own: the same rows give the same bytes."""
    info = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
    info.compress_type, info.external_attr = zipfile.ZIP_DEFLATED, 0o600 << 16
    return info


def _signed(manifest: bytes) -> str:
    """What the signature covers: a word for its use, and the manifest's SHA-256."""
    return f"{keys.NAME}/backup\n{hashlib.sha256(manifest).hexdigest()}\n"


class _Logs:
    """Where each log ends."""

    def __init__(self) -> None:
        self.ends: dict[str, tuple[int, str]] = {}

    def take(self, log: str, seq: int, hash_: str) -> None:
        if seq > self.ends.get(log, (0, ""))[0]:
            self.ends[log] = seq, hash_


def _own_lists() -> Iterator[tuple[str, Path]]:
    """The user's own lists of limits and their earlier editions, by the name that they have in a backup."""
    folder = own.folder()
    for path in [*sorted(folder.glob("*.csv")), *sorted(folder.glob("earlier/*.csv"))]:
        name = f"limits/{path.relative_to(folder).as_posix()}"
        if _LIST.fullmatch(name):
            yield name, path


# -- read --


class Backup:
    """A backup that is open: what it says of itself is signed and its members are those that it names."""

    def __init__(self, archive: zipfile.ZipFile, file: Path) -> None:
        self._archive, self.file = archive, file
        self.manifest, self.key_id = _manifest(archive, file)
        try:
            self.keys = keys.read_public(self._small(KEYS).decode("ascii"))
        except ValueError:
            raise self.unfit(f"{KEYS} is damaged") from None
        self._check_signature()

    def __enter__(self) -> Backup:
        return self

    def __exit__(self, *_: object) -> None:
        self._archive.close()

    @property
    def private_key(self) -> bytes | None:
        """The private key as PEM, where it is inside."""
        return self._small(PRIVATE) if PRIVATE in self.manifest["members"] else None

    def own_lists(self) -> Iterator[tuple[str, bytes]]:
        """Name below the folder of lists, and content, of the user's own lists."""
        for name in self.manifest["members"]:
            if _LIST.fullmatch(name):
                yield name.removeprefix("limits/"), self._small(name)

    def rows(self, kind: str) -> Iterator[dict[str, Any]]:
        """Every row of a kind, in the kinds that the database gives.

        Raises
        ------
        Unfit
            A line is no such row, or the member is not what the manifest says; the row is named.
        """
        model, name = rows.kept()[kind], f"rows/{kind}.jsonl"
        number = 0
        for number, text in enumerate(self._lines(name), 1):
            try:
                yield rows.read(model, text)
            except rows.UnfitRow as fault:
                raise self.unfit(f"{name}, line {number}, {fault}") from None
        if number != self.manifest["rows"][kind]:
            raise self.unfit(f"{name} has {number} rows; its manifest says {self.manifest['rows'][kind]}")

    def unfit(self, what: str) -> Unfit:
        return Unfit(Problem(f"this backup cannot be used: {what}", _ANOTHER, file=str(self.file)))

    def _check_signature(self) -> None:
        text = self._small(SIGNATURE).decode("ascii", "replace").split()
        if len(text) != 2 or not keys.verifies(
            self.keys.get(text[0]), _signed(self._small(MANIFEST)), text[1]
        ):
            raise self.unfit("the signature does not belong to what the manifest says")
        self.key_id = text[0]

    def _small(self, name: str) -> bytes:
        return b"".join(self._pieces(name))

    def _lines(self, name: str) -> Iterator[str]:
        rest = b""
        for piece in self._pieces(name):
            *whole, rest = (rest + piece).split(b"\n")
            if len(rest) > LONGEST_LINE:
                raise self.unfit(f"{name} has a row of more than {LONGEST_LINE >> 20} MiB")
            for one in whole:
                yield self._text(one, name)
        if rest:
            raise self.unfit(f"{name} ends within a row")

    def _text(self, line: bytes, name: str) -> str:
        try:
            return line.decode()
        except UnicodeDecodeError:
            raise self.unfit(f"{name} is no UTF-8") from None

    def _pieces(self, name: str) -> Iterator[bytes]:
        """The member in pieces; at its end it was as long, and had the digest, that the manifest says."""
        said = self.manifest["members"].get(name) if name not in (MANIFEST, SIGNATURE) else None
        most = said["bytes"] if said else _LARGEST[name]
        digest, size = hashlib.sha256(), 0
        try:
            with self._archive.open(name) as member:
                while piece := member.read(1 << 20):
                    size += len(piece)
                    if size > most:
                        raise self.unfit(f"{name} unpacks to more than it says")
                    digest.update(piece)
                    yield piece
        except (
            zipfile.BadZipFile,
            zlib.error,
            EOFError,
            KeyError,
            NotImplementedError,
            OSError,
            RuntimeError,
        ):
            raise self.unfit(f"{name} is damaged") from None
        if said and (size, digest.hexdigest()) != (said["bytes"], said["sha256"]):
            raise self.unfit(f"{name} is not what the manifest says")


_ANOTHER = "Take another copy of it, or the backup before it."


def open_backup(file: Path) -> Backup:
    """Open it and read what it says of itself; rows are not read yet.

    Raises
    ------
    Unfit
        It is no backup, is damaged, or was made by a program with other tables.
    """

    try:
        archive = zipfile.ZipFile(file)
    except OSError as error:
        raise InputError(
            Problem(f"cannot be read ({error.strerror})", "Check the name.", file=str(file))
        ) from None
    except (zipfile.BadZipFile, NotImplementedError, ValueError):
        raise Unfit(Problem("this is no backup of Stillroom", _ANOTHER, file=str(file))) from None
    try:
        return Backup(archive, file)
    except BaseException:
        archive.close()
        raise


def _manifest(archive: zipfile.ZipFile, file: Path) -> tuple[dict[str, Any], str]:
    """The manifest, where it is one of ours and names just the members that are there."""

    def refuse(what: str, mend: str = _ANOTHER) -> Unfit:
        return Unfit(Problem(what, mend, file=str(file)))

    members = archive.infolist()
    there = {member.filename: member.file_size for member in members}
    if not 0 < there.get(MANIFEST, 0) <= _LARGEST[MANIFEST]:
        raise refuse("this is no backup of Stillroom")
    try:
        with archive.open(MANIFEST) as member:
            said = json.loads(member.read(_LARGEST[MANIFEST]))
    except (ValueError, RecursionError, zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, OSError):
        raise refuse("its manifest is damaged") from None
    if not isinstance(said, dict) or said.get("what") != "stillroom backup":
        raise refuse("this is no backup of Stillroom")
    if said.get("format") != FORMAT:
        raise refuse(
            "it has a form that this program does not know", "Use the program that made it, or a newer one."
        )
    if not _well_formed(said):
        raise refuse("its manifest is damaged")
    expected = {name: entry["bytes"] for name, entry in said["members"].items()}
    if there != {**expected, MANIFEST: there[MANIFEST], SIGNATURE: there.get(SIGNATURE, -1)} or len(
        there
    ) != len(members):
        raise refuse("what is inside is not what its manifest says")
    wanted = {f"rows/{kind}.jsonl" for kind in rows.kept()} | {KEYS}
    others = {name for name in set(expected) - wanted if name != PRIVATE and not _LIST.fullmatch(name)}
    if said["tables"] != tables_known() or not wanted <= set(expected) or others:
        mend = f"Restore it with Stillroom {said['program']}; its next start after an upgrade brings the tables up to date."
        raise refuse(
            f"it was made for other tables ({said['tables'] or 'none'}; this program's are {tables_known()})",
            mend,
        )
    large = any(
        size > _LARGEST.get(name, _LARGEST_LIST)
        for name, size in there.items()
        if not name.startswith("rows/")
    )
    if large or sum(there.values()) > MOST_BYTES or any(member.flag_bits & 1 for member in members):
        raise refuse("it unpacks to more than a backup does, or is protected with a password")
    return said, ""


def tables_known() -> str:
    """The last migration that this program brings."""
    from django.db.migrations.loader import MigrationLoader

    loader = MigrationLoader(None)
    return max(str(name) for app, name in loader.disk_migrations if app == "records")


def _well_formed(said: dict[str, Any]) -> bool:
    """Whether every part of the manifest is of its kind."""

    def number(value: Any) -> bool:
        return isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= MOST_BYTES

    texts = all(isinstance(said.get(name), str) for name in ("made_at", "program", "engine", "tables"))
    members, counts, logs = said.get("members"), said.get("rows"), said.get("logs")
    if (
        not texts
        or not isinstance(members, dict)
        or not isinstance(counts, dict)
        or not isinstance(logs, list)
    ):
        return False
    return (
        all(
            isinstance(one, dict) and number(one.get("bytes")) and isinstance(one.get("sha256"), str)
            for one in members.values()
        )
        and counts.keys() == {name[5:-6] for name in members if name.startswith("rows/")}
        and all(map(number, counts.values()))
        and all(
            isinstance(one, dict)
            and one.keys() == {"log", "size", "head"}
            and isinstance(one["log"], str)
            and number(one["size"])
            and isinstance(one["head"], str)
            for one in logs
        )
    )


# -- check --


class _Inside:
    """The events and checkpoints of a backup."""

    def __init__(self, backup: Backup) -> None:
        self._backup = backup

    def events(self) -> Iterator[Entry]:
        for row in self._backup.rows(Event._meta.model_name or ""):
            yield Entry(*(row[name] for name in FIELDS))

    def checkpoints(self) -> Iterator[Note]:
        for row in self._backup.rows(Checkpoint._meta.model_name or ""):
            yield Note(*(row[name] for name in Note._fields))


def read_whole(
    backup: Backup, *, kept: Iterable[Note] = (), each: Callable[[str], None] = lambda kind: None
) -> tuple[Contents, Report]:
    """Read every member to its end: digests, rows, the chain, and rows against their events; no database is asked.

    Parameters
    ----------
    backup : Backup
    kept : iterable of Note
        Checkpoints from elsewhere.
    each : callable
        Gets the name of each kind of row before it is read.

    Raises
    ------
    Unfit
        A member is not what the manifest says, or a row none of its table.
    """
    states = States()
    report = check(_Inside(backup), keys=backup.keys, kept=kept, each=states.take)

    def tracked() -> Iterator[tuple[type[Tracked], dict[str, Any]]]:
        for kind, model in rows.kept().items():
            each(kind)
            for row in backup.rows(kind):
                if issubclass(model, Tracked):
                    yield model, {name: row[name] for name in model.tracked_fields()}

    report.rows, wrong = compare(states, tracked())
    report.findings += wrong
    said = {(one["log"], one["size"], one["head"]) for one in backup.manifest["logs"]}
    if said != {(log.name, log.size, log.head) for log in report.logs}:
        report.findings.append(Finding("", "manifest", "names other ends of logs than there are"))
    backup.private_key  # noqa: B018 - read to its end like the rest
    for _ in backup.own_lists():
        pass
    manifest = backup.manifest
    contents = Contents(
        made_at=manifest["made_at"],
        program=manifest["program"],
        engine=manifest["engine"],
        tables=manifest["tables"],
        counts=manifest["rows"],
        logs=tuple(report.logs),
        key_id=backup.key_id,
        private_key=PRIVATE in manifest["members"],
        sha256=_sha256(backup.file),
    )
    return contents, report


def _sha256(file: Path) -> str:
    with file.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
