"""People, organisations, and who has which place where."""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.models import AbstractUser, UserManager
from django.db import models
from django.utils.translation import gettext_lazy as _

from stillroom.records.chain import INSTALLATION
from stillroom.records.tracked import Tracked, TrackedRows

_ALPHABET = "23456789abcdefghjkmnpqrstuvwxyz"


def make_key() -> str:
    """A random name for a row's address, 12 letters without look-alikes (59 bits); no secret."""
    return "".join(secrets.choice(_ALPHABET) for _ in range(12))


def log_of_organisation(pk: Any) -> str:
    """The log of the organisation with this number in the database: its key."""
    return Organisation.objects.values_list("key", flat=True).get(pk=pk)


_hashed: ContextVar[tuple[str, str] | None] = ContextVar("hashed", default=None)


@contextmanager
def hashed_first(password: str) -> Iterator[None]:
    """Hash this password now: inside, whoever is given it gets that hash. Hashing is slow, and no transaction waits for it."""
    token = _hashed.set((password, make_password(password)) if password else None)
    try:
        yield
    finally:
        _hashed.reset(token)


class People(UserManager.from_queryset(TrackedRows)):
    """Users, written through the trail only."""


class User(Tracked, AbstractUser):
    """A person. Deactivated, never deleted; names are never given to another."""

    exempt = frozenset({"last_login"})
    by_hash = frozenset({"password"})

    first_name = None
    last_name = None
    full_name = models.CharField(_("full name"), max_length=150, blank=True)

    REQUIRED_FIELDS = ["full_name"]

    objects = People()

    class Meta(AbstractUser.Meta):
        base_manager_name = "objects"

    def get_full_name(self) -> str:
        return self.full_name or self.username

    def get_short_name(self) -> str:
        return self.get_full_name()

    @classmethod
    def log_of(cls, noted: dict[str, Any]) -> str:
        return INSTALLATION

    def set_password(self, raw_password: str | None) -> None:
        """Give this person a password; one that `hashed_first` knows is not hashed again."""
        known = _hashed.get()
        if known is None or known[0] != raw_password:
            super().set_password(raw_password)
            return
        self.password, self._password = known[1], raw_password

    def check_password(self, raw_password: str) -> bool:
        """Whether it is this person's; a hash of former strength is renewed, through the trail."""

        def renew(raw: str) -> None:
            from stillroom.records.trail import writing

            self.password = make_password(raw)
            with writing(None, self, reason="the password's hash was renewed with today's strength"):
                self.save(update_fields=["password"])

        return check_password(raw_password, self.password, renew)


class Organisation(Tracked):
    """A supplier, a customer, a site: whoever owns what is stored."""

    key = models.CharField(max_length=12, unique=True, default=make_key, editable=False)
    name = models.CharField(_("name"), max_length=200, unique=True)
    created_at = models.DateTimeField(_("created"), auto_now_add=True)

    class Meta:
        verbose_name = _("organisation")
        verbose_name_plural = _("organisations")
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    @classmethod
    def log_of(cls, noted: dict[str, Any]) -> str:
        return noted["key"]


class Membership(Tracked):
    """A person's place in an organisation."""

    class Role(models.TextChoices):
        OWNER = "owner", _("owner")
        VALIDATOR = "validator", _("validator")
        READER = "reader", _("reader")

    user = models.ForeignKey(User, models.PROTECT, related_name="memberships", verbose_name=_("person"))
    organisation = models.ForeignKey(
        Organisation, models.PROTECT, related_name="memberships", verbose_name=_("organisation")
    )
    role = models.CharField(_("role"), max_length=20, choices=Role, default=Role.READER)

    class Meta:
        verbose_name = _("membership")
        verbose_name_plural = _("memberships")
        constraints = [models.UniqueConstraint(fields=["user", "organisation"], name="one_membership_each")]

    def __str__(self) -> str:
        return f"{self.user} · {self.organisation} · {self.get_role_display()}"

    @property
    def may_write(self) -> bool:
        return self.role in (self.Role.OWNER, self.Role.VALIDATOR)


class Installation(Tracked):
    """One row, made with the first user: whoever comes second finds it there."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(id=1), name="one_installation")]

    @classmethod
    def log_of(cls, noted: dict[str, Any]) -> str:
        return INSTALLATION


class Owned(Tracked):
    """A row that belongs to an organisation."""

    organisation = models.ForeignKey(
        Organisation, models.PROTECT, related_name="+", verbose_name=_("organisation")
    )
    created_at = models.DateTimeField(_("created"), auto_now_add=True)
    created_by = models.ForeignKey(User, models.PROTECT, related_name="+", verbose_name=_("created by"))

    class Meta:
        abstract = True
