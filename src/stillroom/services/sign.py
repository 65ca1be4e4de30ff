"""Sign an assessed case for a cabinet: from then on it is a validation, and nobody changes it."""

from __future__ import annotations

import datetime
import json
from collections.abc import Callable
from typing import Any

from django.db import IntegrityError
from django.db.models import Max
from django.utils import timezone

from stillroom.records import keys, statement, trail
from stillroom.records.canonical import canonical
from stillroom.records.models import Assessment, Cabinet, User, Validation
from stillroom.records.store import digest
from stillroom.records.tenancy import may_write_for, visible
from stillroom.services.components import CannotSign, identify

__all__ = ["APPROVING", "CannotSign", "meanings", "record_of", "sign"]

APPROVING = ("approved", "approved with conditions")


def meanings(verdict: str) -> tuple[str, ...]:
    """What a signature under a verdict may mean: a refusal is never signed as an approval.

    Parameters
    ----------
    verdict : str
        Of the record.
    """
    refused = (str(Validation.Meaning.REFUSED),)
    return (str(Validation.Meaning.APPROVED), *refused) if verdict in APPROVING else refused


def sign(
    assessment: Assessment,
    user: User,
    *,
    cabinet: Cabinet,
    meaning: str,
    password: str,
    username: str = "",
    continued: bool = False,
    reason: str = "",
    check: Callable[[User, str], bool] | None = None,
) -> Validation:
    """The validation: record, printed name, meaning, time in UTC and place in the trail, hashed and signed as one.

    Parameters
    ----------
    assessment : Assessment
        Assessed, not signed yet.
    user : User
        Who signs; an owner or validator of the organisation.
    cabinet : Cabinet
        The one that it is for. Its standing validation is superseded where this one approves.
    meaning : str
        One of `meanings` of the verdict.
    password, username : str
        Of the user, asked for again.
    continued : bool
        Whether the user signed before in the same session: then the password alone is enough.
    reason : str
        Why a case is refused that was computed as an approval; the papers say it.
    check : callable, optional
        User and password to whether it is right; a page counts failed tries there.

    Raises
    ------
    CannotSign
        Nothing was kept.

    Notes
    -----
    One transaction holds the validation and its event; name and password are checked before it.
    """
    _may_sign(user, assessment)
    if not user.full_name.strip():
        raise CannotSign(
            "Your account has no full name to print under a signature. Ask an owner to enter it."
        )
    if cabinet.organisation_id != assessment.organisation_id:
        raise CannotSign("The cabinet belongs to another organisation.")
    if cabinet.retired is not None:
        raise CannotSign(f"{cabinet} is out of use since {cabinet.retired}. Choose another cabinet.")
    identify(user, password=password, username=username, continued=continued, check=check)
    try:
        with trail.writing(assessment.organisation, user, reason=f"signed: {meaning}") as write:
            _may_sign(User.objects.get(pk=user.pk), assessment)
            validation = _prepared(assessment, user, cabinet, meaning, reason.strip())
            validation.save(force_insert=True)
            write.call(validation, "validation.signed")
    except IntegrityError:
        raise CannotSign(
            "Somebody signed this case, or for this cabinet, just now. Look at it again."
        ) from None
    return validation


def record_of(validation: Validation) -> Any:
    """The record as it was signed, with the signature block inside."""
    return json.loads(validation.record_text)


def _may_sign(user: User, assessment: Assessment) -> None:
    if not may_write_for(user, assessment.organisation_id):
        raise CannotSign("Only an owner or a validator of its organisation signs a case.")
    if not user.is_active:
        raise CannotSign("A person who was deactivated signs nothing.")


def _prepared(assessment: Assessment, user: User, cabinet: Cabinet, meaning: str, reason: str) -> Validation:
    """The validation with everything that is signed, not saved. Inside the transaction: head and numbers stand still."""
    row = Assessment.objects.select_for_update().get(pk=assessment.pk)
    if row.is_draft or row.record is None:
        raise CannotSign("A draft has no verdict yet. Get the verdict first.")
    if Validation.objects.filter(assessment=row).exists():
        raise CannotSign("This case is signed already. Change a copy of it and sign that.")
    if digest(row.record) != row.record_sha256:
        raise CannotSign("The stored record is not the one that was computed. Tell whoever runs the server.")
    if meaning not in meanings(row.verdict):
        raise CannotSign(
            f"A case whose verdict is “{row.verdict}” is not signed as “{meaning}”; it may be signed as "
            f"{' or '.join(meanings(row.verdict))}."
        )
    approves = meaning == str(Validation.Meaning.APPROVED)
    record: dict[str, Any] = row.record
    if not approves and row.verdict in APPROVING:
        if not reason:
            raise CannotSign("It was computed as an approval: say why it is refused.")
        record = _refused(record, user.get_full_name(), reason)
    at = timezone.now().replace(microsecond=0)
    ends = datetime.date.fromisoformat(str(row.record["valid_until"])) if approves else None
    if ends is not None and ends < at.date():
        raise CannotSign(f"What was assessed ran out on {ends}. Change a copy of it, and sign that.")
    head = trail.head(assessment.organisation)
    number = (visible(Validation, assessment.organisation).aggregate(last=Max("number"))["last"] or 0) + 1
    version = (cabinet.validations.aggregate(last=Max("version"))["last"] or 0) + 1
    block = {
        "name": user.get_full_name(),
        "meaning": meaning,
        "time_utc": at.astimezone(datetime.UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
        "validation": f"V{number}",
        "cabinet": str(cabinet),
        "trail_event": str(head.seq),
        "trail_head": head.hash[:32],
    }
    validation = Validation(
        organisation=assessment.organisation,
        created_by=user,
        number=number,
        version=version,
        cabinet=cabinet,
        assessment=row,
        record_text=canonical({**record, "signature": block}),
        meaning=meaning,
        signer=user,
        signer_name=block["name"],
        signed_at=at,
        supersedes=_superseded(cabinet) if approves else None,
        event_seq=head.seq,
        head=block["trail_head"],
        valid_until=ends,
    )
    statement.seal(validation, keys.own_key())
    return validation


def _refused(record: dict[str, Any], name: str, reason: str) -> dict[str, Any]:
    """The record of an approval that a person refuses: its papers approve nothing, and say who refused and why."""
    words = f"Refused by {name}: {reason} (The computed verdict was “{record['verdict']}”.)"
    return {**record, "verdict": "not approved", "verdict_words": [words]}


def _superseded(cabinet: Cabinet) -> Validation | None:
    """The newest approval of the cabinet that no other has superseded."""
    found: Validation | None = (
        cabinet.validations.filter(meaning=Validation.Meaning.APPROVED, superseded_by=None)
        .order_by("-version")
        .first()
    )
    return found
