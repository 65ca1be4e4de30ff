"""Take a physical cabinet in, change what is written on it, and take it out of use."""

from __future__ import annotations

import datetime

from django.db import IntegrityError

from stillroom.errors import InputError, Problem
from stillroom.records import trail
from stillroom.records.models import Cabinet, Organisation, User

__all__ = ["keep_cabinet"]


def keep_cabinet(
    organisation: Organisation,
    user: User,
    *,
    cabinet: Cabinet | None = None,
    name: str,
    serial: str = "",
    site: str = "",
    room: str = "",
    place: str = "",
    commissioned: datetime.date | None = None,
    retired: datetime.date | None = None,
) -> Cabinet:
    """A new cabinet, or `cabinet` with other words.

    Raises
    ------
    InputError
        The site has a cabinet of that name, or it is out of use before it was in use.
    """
    if commissioned and retired and retired < commissioned:
        raise InputError(
            Problem("is before the day it came into use", "Mend one of the two days.", column="out of use")
        )
    row = (
        Cabinet.objects.get(pk=cabinet.pk) if cabinet else Cabinet(organisation=organisation, created_by=user)
    )
    row.name, row.serial, row.site, row.room, row.place = name, serial, site, room, place
    row.commissioned, row.retired = commissioned, retired
    try:
        with trail.writing(organisation, user, reason="the cabinet's particulars"):
            row.save()
    except IntegrityError:
        raise InputError(
            Problem(
                "is the name of another cabinet at this site",
                "Choose another name.",
                column="name",
                found=name,
            )
        ) from None
    return row
