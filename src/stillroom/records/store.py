"""What is done to stored rows, each in one short transaction through the trail. Nothing is computed here."""

from __future__ import annotations

import datetime
import hashlib
import json
from collections.abc import Mapping
from typing import Any, TypeVar

from django.db import IntegrityError
from django.db.models import Max
from django.utils import timezone

from stillroom.errors import StillroomError
from stillroom.records.models import (
    Assessment,
    CabinetDefinition,
    Definition,
    Installation,
    Membership,
    Organisation,
    RoomDefinition,
    StoredFile,
    User,
)
from stillroom.records.tenancy import visible
from stillroom.records.trail import writing

__all__ = [
    "AlreadyAssessed",
    "AlreadyInstalled",
    "add_member",
    "change_password",
    "conclude",
    "copy_of",
    "digest",
    "first_user",
    "keep_file",
    "new_draft",
    "no_user_yet",
    "take_inventory",
    "update_draft",
]

Kind = TypeVar("Kind", bound=Definition)


class AlreadyInstalled(StillroomError):
    """There is a user already: the first is made once."""


class AlreadyAssessed(StillroomError):
    """An assessed case is not edited; change a copy of it."""


def digest(value: Any) -> str:
    """SHA-256 of a JSON value in one fixed spelling (sorted keys, no spaces, UTF-8)."""
    text = json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def no_user_yet() -> bool:
    """Whether the first user is still to be made."""
    return not User.objects.exists()


def first_user(
    *,
    username: str,
    full_name: str,
    password_hash: str,
    organisation: str,
    reason: str = "the installation's first person",
) -> User:
    """The first user, who owns the first organisation. `password_hash` is made outside the transaction.

    Raises
    ------
    AlreadyInstalled
        Someone was quicker.
    """
    try:
        with writing(None, username, reason=reason):
            Installation.objects.create(pk=1)
            if User.objects.exists():
                raise AlreadyInstalled("There is a user already. Sign in instead.")
            user = User.objects.create(
                username=username,
                full_name=full_name,
                password=password_hash,
                is_staff=True,
                is_superuser=True,
            )
            owner = Organisation.objects.create(name=organisation)
            Membership.objects.create(user=user, organisation=owner, role=Membership.Role.OWNER)
    except IntegrityError:
        raise AlreadyInstalled("There is a user already. Sign in instead.") from None
    return user


def add_member(
    organisation: Organisation,
    by: User,
    *,
    username: str,
    full_name: str,
    password_hash: str,
    role: Membership.Role,
) -> User:
    """A new person with a place in the organisation. `password_hash` is made outside the transaction."""
    with writing(None, by, reason=f"a new {role.label} of {organisation}"):
        user = User.objects.create(username=username, full_name=full_name, password=password_hash)
        Membership.objects.create(user=user, organisation=organisation, role=role)
    return user


def change_password(user: User, password: str) -> None:
    """A new password of this person's own choice; it is hashed outside the transaction."""
    user.set_password(password)
    with writing(None, user, reason="a new password, by its owner"):
        user.save(update_fields=["password"])


def keep_file(organisation: Organisation, user: User, *, name: str, content: bytes) -> StoredFile:
    """The file, kept byte for byte; its name without line breaks, controls and marks that turn a line round."""
    plain = "".join(character for character in name if character.isprintable())
    sha256 = hashlib.sha256(content).hexdigest()
    with writing(organisation, user, reason="a file was given"):
        return StoredFile.objects.create(
            organisation=organisation,
            created_by=user,
            name=plain[-255:],
            content=content,
            size=len(content),
            sha256=sha256,
        )


def new_draft(organisation: Organisation, user: User, *, title: str, inputs: Mapping[str, Any]) -> Assessment:
    """A new draft with the organisation's next number."""
    with writing(organisation, user, reason="a new case"):
        return _numbered(organisation, user, title=title, inputs=dict(inputs))


def copy_of(assessment: Assessment, user: User) -> Assessment:
    """A draft with the same inputs, changed from `assessment`, which stays as it is."""
    with writing(assessment.organisation, user, reason=f"changed from number {assessment.number}"):
        return _numbered(
            assessment.organisation,
            user,
            title=assessment.title,
            inputs=assessment.inputs,
            inventory=assessment.inventory,
            parent=assessment,
        )


def _numbered(organisation: Organisation, user: User, **fields: Any) -> Assessment:
    Organisation.objects.select_for_update().get(pk=organisation.pk)
    last = visible(Assessment, organisation).aggregate(last=Max("number"))["last"] or 0
    return Assessment.objects.create(organisation=organisation, created_by=user, number=last + 1, **fields)


def update_draft(
    assessment: Assessment,
    user: User,
    *,
    title: str | None = None,
    inventory: StoredFile | None = None,
    **inputs: Any,
) -> None:
    """Put parts of the inputs into a draft.

    Raises
    ------
    AlreadyAssessed
        It is no draft any more.
    """
    with writing(assessment.organisation, user, reason="the case is taken in"):
        row = Assessment.objects.select_for_update().get(pk=assessment.pk)
        if not row.is_draft:
            raise AlreadyAssessed("This assessment is finished. Change a copy of it.")
        row.inputs = {**row.inputs, **inputs}
        row.title = title or row.title
        row.inventory = inventory or row.inventory
        row.save(update_fields=["inputs", "title", "inventory"])
    assessment.inputs, assessment.title, assessment.inventory = row.inputs, row.title, row.inventory


def take_inventory(assessment: Assessment, user: User, *, name: str, content: bytes) -> StoredFile:
    """Keep the file and put it into the draft, both or neither.

    Raises
    ------
    AlreadyAssessed
        It is no draft any more; the file is not kept either.
    """
    with writing(assessment.organisation, user, reason="the inventory is taken in"):
        stored = keep_file(assessment.organisation, user, name=name, content=content)
        update_draft(assessment, user, inventory=stored)
    return stored


def conclude(assessment: Assessment, user: User, *, record: Mapping[str, Any]) -> None:
    """Keep the result of a draft: record, versions, and the cabinet and room that made it.

    Raises
    ------
    AlreadyAssessed
        Another request was quicker, or the inputs changed while the result was computed.
    """
    asked = digest(assessment.inputs)
    ends = str(record.get("life_ends") or "")
    with writing(assessment.organisation, user, reason="assessed") as write:
        row = Assessment.objects.select_for_update().get(pk=assessment.pk)
        if not row.is_draft or digest(row.inputs) != asked or row.inventory_id != assessment.inventory_id:
            raise AlreadyAssessed("This assessment changed meanwhile. Look at it again.")
        row.cabinet = _version(CabinetDefinition, row, user, row.inputs["cabinet"], part="cabinet")
        row.room = _version(RoomDefinition, row, user, row.inputs["room"], part="room")
        row.state, row.assessed_at = Assessment.State.ASSESSED, timezone.now()
        row.record, row.record_sha256 = dict(record), digest(record)
        row.inputs_sha256 = digest(
            {"inputs": row.inputs, "inventory": row.inventory.sha256 if row.inventory else ""}
        )
        row.verdict, row.versions = str(record["verdict"]), dict(record["versions"])
        row.life_ends = datetime.date.fromisoformat(ends) if ends else None
        row.save()
        write.call(row, "assessment.assessed")
        assessment.refresh_from_db()


def _version(kind: type[Kind], row: Assessment, user: User, tables: dict[str, Any], *, part: str) -> Kind:
    """The stored definition with these tables: the one that is there, or a new version."""
    name, sha = str(tables[part]["name"]), digest(tables)
    versions = visible(kind, row.organisation).filter(name=name)
    known = versions.filter(sha256=sha).first()
    if known:
        return known
    last = versions.aggregate(last=Max("version"))["last"] or 0
    return kind.objects.create(
        organisation=row.organisation, created_by=user, name=name, version=last + 1, tables=tables, sha256=sha
    )
