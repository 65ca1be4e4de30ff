"""Give a member a private address for what is due, take it back, and tell whose it is."""

from __future__ import annotations

import hashlib
import secrets

from stillroom.records.models import CalendarAddress, Membership, Organisation, User
from stillroom.records.tenancy import membership_of, visible
from stillroom.records.trail import writing

__all__ = ["give_address", "has_address", "member_at", "take_back"]


def _hashed(token: str) -> str:
    """A secret of 192 random bits needs no salt and no slow hash."""
    return hashlib.sha256(token.encode()).hexdigest()


def give_address(organisation: Organisation, user: User) -> str:
    """The secret part of a new address, told this once; the one before does not open anything any more."""
    token = secrets.token_urlsafe(24)
    with writing(organisation, user, reason="a new calendar address"):
        row = visible(CalendarAddress, organisation).filter(user=user).first()
        row = row or CalendarAddress(organisation=organisation, created_by=user, user=user)
        row.token_sha256 = _hashed(token)
        row.save()
    return token


def take_back(organisation: Organisation, user: User) -> None:
    """The person's address opens nothing any more."""
    with writing(organisation, user, reason="the calendar address is taken back"):
        for row in visible(CalendarAddress, organisation).filter(user=user):
            row.delete()


def has_address(organisation: Organisation, user: User) -> bool:
    """Whether the person has one."""
    return bool(visible(CalendarAddress, organisation).filter(user=user).exists())


def member_at(token: str) -> Membership | None:
    """Who is reached by an address: an active person who is still a member; otherwise nobody."""
    row = CalendarAddress.objects.select_related("user").filter(token_sha256=_hashed(token)).first()
    if row is None or not row.user.is_active:
        return None
    membership = membership_of(row.user)
    return membership if membership and membership.organisation_id == row.organisation_id else None
