"""Put a backup back into an empty database: all of it, in one transaction, or nothing."""

from __future__ import annotations

import os
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

from django.core.management.color import no_style
from django.db import DataError, IntegrityError, connection, models, transaction

from stillroom.errors import StillroomError
from stillroom.records import keys, rows, trail
from stillroom.records.checkpoints import copies, keep_copies
from stillroom.services.audit import Report, verify
from stillroom.services.backup import Backup, Contents, open_backup, read_whole
from stillroom.substances.limits import own

__all__ = ["NotAsItWas", "NotEmpty", "Restored", "refuse_rows", "restore"]

_AT_ONCE = 200


class NotEmpty(StillroomError):
    """There are rows in the database, or checkpoints beside it that know more than the backup."""


class NotAsItWas(StillroomError):
    """What was put in is not what came out again; nothing was kept."""


@dataclass(frozen=True)
class Restored:
    """What was put back."""

    contents: Contents
    report: Report
    """of the check of the trail, after everything was in"""
    signs_now: str
    """key that signs from now on"""
    same_key: bool
    """whether it signed before the backup was made"""
    lists_left: tuple[str, ...]
    """own lists of limits that were not put back, because another of that name is there"""


def restore(file: Path, *, actor: str, reason: str) -> Restored:
    """Put every row of the backup into this database, which has its tables and no rows.

    Parameters
    ----------
    file : Path
        From `backup.make`.
    actor, reason : str
        Who does it and why; both stand in the trail.

    Raises
    ------
    InputError, backup.Unfit
        The file cannot be used.
    NotEmpty
        The database is not empty, or a checkpoint in reach knows of events that the backup does not hold.
    NotAsItWas
        A row does not come out as it went in, or the trail is not whole; nothing was kept.

    Notes
    -----
    The append-only triggers stay in place. Inside the transaction every row is read again and compared, foreign keys
    and the whole trail are checked, and each log gets an event that says from what it was restored. Keys that verify are
    in their file before the transaction ends, so that no row is ever there without them.
    """
    with open_backup(file) as backup:
        contents, before = read_whole(backup)
        if not before.whole:
            found = "; ".join(map(str, before.findings[:3]))
            raise backup.unfit(f"its trail is not whole ({found})")
        _refuse_later(contents)
        try:
            with trail.writing(None, actor, reason=reason) as write:
                refuse_rows()
                with trail.putting_back():
                    for kind, model in rows.kept().items():
                        for row in backup.rows(kind):
                            rows.typed(model, row).save_base(raw=True, force_insert=True)
                _number_on()
                connection.check_constraints()
                _compare(backup)
                report = verify(keys={**keys.public_keys(), **backup.keys})
                if not report.whole:
                    found = "; ".join(map(str, report.findings[:3]))
                    raise NotAsItWas(f"The trail is not whole in the database ({found}). Nothing was kept.")
                signs_now = _place_keys(backup)
                left = _place_lists(backup)
                for log in contents.logs:
                    write.say(
                        "copy.restored",
                        f"log:{log.name}",
                        log=log.name,
                        backup=contents.sha256,
                        made_at=contents.made_at,
                        size=log.size,
                        head=log.head,
                        root=log.root,
                        signs_now=signs_now,
                    )
                transaction.on_commit(lambda: _keep_copies(contents), robust=True)
        except (IntegrityError, DataError) as error:
            raise NotAsItWas(
                f"The database refused a row of the backup ({error}). Nothing was kept."
            ) from None
        except (OSError, ValueError) as error:
            raise NotAsItWas(
                f"Keys or lists of limits cannot be put back ({error}). Nothing was kept."
            ) from None
    return Restored(contents, report, signs_now, signs_now in backup.keys, left)


def refuse_rows() -> None:
    """Refuse a database in which there is any row of ours; one whose tables are older, or not there yet, too.

    Raises
    ------
    NotEmpty
    """
    there = []
    with connection.cursor() as cursor:
        tables = set(connection.introspection.table_names(cursor))
        for model in rows.kept().values():
            if model._meta.db_table in tables:
                cursor.execute(f'SELECT 1 FROM "{model._meta.db_table}" LIMIT 1')
                if cursor.fetchone():
                    there.append(str(model._meta.verbose_name_plural))
    if there:
        more = f" and {len(there) - 3} more kinds of rows" if len(there) > 3 else ""
        raise NotEmpty(
            f"The database is not empty ({', '.join(there[:3])}{more}). A backup goes into an empty one only: name a new folder with "
            "--data, or a new database with DATABASE_URL."
        )


def _refuse_later(contents: Contents) -> None:
    """A checkpoint that knows more is the proof of what would be lost: it is set aside by a person, not by a program."""
    sizes = {log.name: log.size for log in contents.logs}
    later = [path for path, note in copies() if note.size > sizes.get(note.log, 0)]
    if later:
        raise NotEmpty(
            f"{len(later)} checkpoint(s) know of events that this backup does not hold ({later[0]} …): it is older than "
            f"what was here, or from another installation. Move {later[0].parent} elsewhere and keep it; it proves what is lost."
        )


def _keep_copies(contents: Contents) -> None:
    for log in contents.logs:
        keep_copies(log.name)


def _number_on() -> None:
    """Have new rows numbered after those that were put in. SQLite does so by itself."""
    statements = connection.ops.sequence_reset_sql(no_style(), list(rows.kept().values()))
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def _compare(backup: Backup) -> None:
    """Every row is there as the backup has it, and no other."""
    for kind, model in rows.kept().items():
        count = 0
        source = backup.rows(kind)
        while some := list(islice(source, _AT_ONCE)):
            count += len(some)
            _compare_some(model, some)
        if model._base_manager.count() != count:
            raise NotAsItWas(
                f"There are more {model._meta.verbose_name_plural} than the backup holds. Nothing was kept."
            )


def _compare_some(model: type[models.Model], some: list[dict[str, Any]]) -> None:
    key = model._meta.pk.attname
    found = model._base_manager.filter(pk__in=[row[key] for row in some]).values(*some[0])
    there = {row[key]: row for row in found.iterator(chunk_size=_AT_ONCE)}
    for row in some:
        wrong = rows.differs(row, there.get(row[key]))
        if wrong:
            raise NotAsItWas(
                f"{model._meta.model_name} {row[key]} does not come out as it went in ({', '.join(wrong)}). Nothing was kept."
            )


def _place_keys(backup: Backup) -> str:
    """Public halves, and the private one where it is inside and none is here; the id of the key that signs from now on."""
    for public in backup.keys.values():
        keys.publish_public(public)
    if backup.private_key is not None:
        keys.place_private(backup.private_key)
    return keys.own_key().id


def _place_lists(backup: Backup) -> tuple[str, ...]:
    """The user's own lists of limits; another file of that name stays, and is named."""
    left = []
    for name, content in backup.own_lists():
        place = own.folder() / name
        place.parent.mkdir(parents=True, exist_ok=True)
        if place.exists():
            if place.read_bytes() != content:
                left.append(str(place))
            continue
        part = place.with_suffix(f".{os.getpid()}.part")
        part.write_bytes(content)
        part.replace(place)
    return tuple(left)
