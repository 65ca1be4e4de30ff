"""A second person reviews what was signed: a signature of their own, bound to the first one's hash."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from django.db import IntegrityError
from django.utils import timezone

from stillroom.records import keys, statement, trail
from stillroom.records.models import Review, User, Validation
from stillroom.records.tenancy import may_write_for
from stillroom.services.components import CannotSign, identify
from stillroom.services.standing import state_of

__all__ = ["as_data", "may_review", "review", "why_not"]


def why_not(validation: Validation, user: User) -> str:
    """Why this person does not review this validation today; empty where they may.

    Parameters
    ----------
    validation : Validation
    user : User
    """
    if not may_write_for(user, validation.organisation_id) or not user.is_active:
        return "Only an owner or a validator of its organisation reviews a validation."
    if not user.full_name.strip():
        return "Your account has no full name to print under a signature. Ask an owner to enter it."
    if user.pk in (validation.signer_id, validation.assessment.created_by_id):
        return "Who made or signed it does not review it: ask a second person."
    if hasattr(validation, "review"):
        return "It is reviewed already."
    if not state_of(validation, timezone.localdate()).holds:
        return "It does not stand: only what stands is reviewed."
    return ""


def may_review(validation: Validation, user: User) -> bool:
    """Whether this person may review this validation today."""
    return not why_not(validation, user)


def review(
    validation: Validation,
    user: User,
    *,
    password: str,
    username: str = "",
    continued: bool = False,
    check: Callable[[User, str], bool] | None = None,
) -> Review:
    """Keep that the validation was reviewed: printed name, meaning “reviewed”, time in UTC, place in the trail, signed.

    Parameters
    ----------
    validation : Validation
        Standing, signed by another person, not reviewed yet, its own signature whole.
    user : User
        Who reviews; an owner or validator of its organisation, neither its signer nor who made the case.
    password, username, continued, check :
        As in `sign`.

    Raises
    ------
    CannotSign
        Nothing was kept.
    """
    if words := why_not(validation, user):
        raise CannotSign(words)
    identify(user, password=password, username=username, continued=continued, check=check)
    try:
        with trail.writing(validation.organisation, user, reason="signed: reviewed") as write:
            row = _prepared(validation.pk, user.pk)
            row.save(force_insert=True)
            write.call(row, "validation.reviewed")
    except IntegrityError:
        raise CannotSign("Somebody reviewed it just now.") from None
    return row


def as_data(row: Review) -> dict[str, Any]:
    """What `review.json` holds: the signed text, its hash, the key and the signature; and what papers print."""
    return {
        "statement": json.loads(statement.review_statement(row)),
        "statement_sha256": row.statement_sha256,
        "key_id": row.key_id,
        "signature": row.signature,
    }


def _prepared(validation: int, reviewer: int) -> Review:
    """The review with everything that is signed, not saved. Inside the transaction, on what is stored now."""
    signed = Validation.objects.select_for_update().get(pk=validation)
    user = User.objects.get(pk=reviewer)
    if words := why_not(signed, user):
        raise CannotSign(words)
    if statement.faults(signed, keys.public_keys()):
        raise CannotSign("The signature under it does not hold. Tell whoever runs the server.")
    head = trail.head(signed.organisation)
    row = Review(
        organisation=signed.organisation,
        created_by=user,
        validation=signed,
        meaning=Validation.Meaning.REVIEWED,
        reviewer=user,
        reviewer_name=user.get_full_name(),
        reviewed_at=timezone.now().replace(microsecond=0),
        event_seq=head.seq,
        head=head.hash[:32],
    )
    statement.seal_review(row, keys.own_key())
    return row
