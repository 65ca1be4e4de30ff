"""Withdraw a validation: it no longer holds, and everybody who opens its label's page sees so."""

from __future__ import annotations

from collections.abc import Callable

from django.db import IntegrityError
from django.utils import timezone

from stillroom.records import trail
from stillroom.records.models import User, Validation, Withdrawal
from stillroom.records.tenancy import may_write_for
from stillroom.services.components import CannotSign

__all__ = ["withdraw"]


def withdraw(
    validation: Validation,
    user: User,
    *,
    reason: str,
    password: str,
    check: Callable[[User, str], bool] | None = None,
) -> Withdrawal:
    """Keep that it was withdrawn, by whom, when and why.

    Parameters
    ----------
    validation : Validation
    user : User
        An owner or validator of its organisation.
    reason : str
        Shown to members; never empty.
    password : str
        Of the user, asked for again.
    check : callable, optional
        As in `sign`.

    Raises
    ------
    CannotSign
        Nothing was kept.
    """
    if not may_write_for(user, validation.organisation_id):
        raise CannotSign("Only an owner or a validator of its organisation withdraws a validation.")
    if not reason.strip():
        raise CannotSign("Say why it is withdrawn.")
    if validation.meaning != Validation.Meaning.APPROVED:
        raise CannotSign("A refusal approves nothing: there is nothing to withdraw.")
    if hasattr(validation, "withdrawal"):
        raise CannotSign("It is withdrawn already.")
    if hasattr(validation, "superseded_by"):
        raise CannotSign("A newer validation stands in its place. Withdraw that one.")
    if not (user.check_password(password) if check is None else check(user, password)):
        raise CannotSign("The password does not match. Nothing was withdrawn.")
    try:
        with trail.writing(validation.organisation, user, reason=reason.strip()) as write:
            row: Withdrawal = Withdrawal.objects.create(
                organisation=validation.organisation,
                created_by=user,
                validation=validation,
                reason=reason.strip(),
                by=user,
                at=timezone.now(),
            )
            write.call(row, "validation.withdrawn")
    except IntegrityError:
        raise CannotSign("Somebody withdrew it just now.") from None
    return row
