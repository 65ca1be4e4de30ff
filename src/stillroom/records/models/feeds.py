"""Private addresses that a calendar program reads without signing in."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from stillroom.records.models.people import Owned, User, make_key


class CalendarAddress(Owned):
    """One person's address for what is due. Only the SHA-256 of its secret is kept; a new one replaces it."""

    key = models.CharField(max_length=12, unique=True, default=make_key, editable=False)
    user = models.ForeignKey(User, models.PROTECT, related_name="+", verbose_name=_("person"))
    token_sha256 = models.CharField(max_length=64, unique=True)

    class Meta:
        verbose_name = _("calendar address")
        verbose_name_plural = _("calendar addresses")
        constraints = [
            models.UniqueConstraint(fields=["organisation", "user"], name="one_calendar_address_each")
        ]

    def __str__(self) -> str:
        return str(self.user)
