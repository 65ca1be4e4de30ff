"""The tables. Each row that a customer owns names its organisation."""

from __future__ import annotations

import secrets

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.utils.translation import gettext_lazy as _

_ALPHABET = "23456789abcdefghjkmnpqrstuvwxyz"


def make_key() -> str:
    """A random name for a row's address, 12 letters without look-alikes (59 bits); no secret."""
    return "".join(secrets.choice(_ALPHABET) for _ in range(12))


class User(AbstractUser):
    """A person. Deactivated, never deleted; names are never given to another."""

    first_name = None
    last_name = None
    full_name = models.CharField(_("full name"), max_length=150, blank=True)

    REQUIRED_FIELDS = ["full_name"]

    def get_full_name(self) -> str:
        return self.full_name or self.username

    def get_short_name(self) -> str:
        return self.get_full_name()


class Organisation(models.Model):
    """A supplier, a customer, a site: whoever owns what is stored."""

    name = models.CharField(_("name"), max_length=200, unique=True)
    created_at = models.DateTimeField(_("created"), auto_now_add=True)

    class Meta:
        verbose_name = _("organisation")
        verbose_name_plural = _("organisations")
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Membership(models.Model):
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


class Installation(models.Model):
    """One row, made with the first user: whoever comes second finds it there."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(id=1), name="one_installation")]


class Owned(models.Model):
    """A row that belongs to an organisation."""

    organisation = models.ForeignKey(
        Organisation, models.PROTECT, related_name="+", verbose_name=_("organisation")
    )
    created_at = models.DateTimeField(_("created"), auto_now_add=True)
    created_by = models.ForeignKey(User, models.PROTECT, related_name="+", verbose_name=_("created by"))

    class Meta:
        abstract = True


class StoredFile(Owned):
    """A file as it was given, byte for byte."""

    name = models.CharField(_("file name"), max_length=255)
    content = models.BinaryField()
    size = models.PositiveIntegerField(_("size in bytes"))
    sha256 = models.CharField(max_length=64)

    class Meta:
        verbose_name = _("file")
        verbose_name_plural = _("files")

    def __str__(self) -> str:
        return self.name


class Definition(Owned):
    """A cabinet or a room as the tables of its file. A changed one is a new version."""

    name = models.CharField(_("name"), max_length=200)
    version = models.PositiveIntegerField(_("version"))
    tables = models.JSONField(_("definition"))
    sha256 = models.CharField(max_length=64)

    class Meta:
        abstract = True
        ordering = ["name", "-version"]

    def __str__(self) -> str:
        return f"{self.name} (version {self.version})"


class CabinetDefinition(Definition):
    class Meta(Definition.Meta):
        verbose_name = _("cabinet")
        verbose_name_plural = _("cabinets")
        constraints = [
            models.UniqueConstraint(fields=["organisation", "name", "version"], name="one_cabinet_version")
        ]


class RoomDefinition(Definition):
    class Meta(Definition.Meta):
        verbose_name = _("room")
        verbose_name_plural = _("rooms")
        constraints = [
            models.UniqueConstraint(fields=["organisation", "name", "version"], name="one_room_version")
        ]


class Assessment(Owned):
    """One case: what was asked and, once assessed, what came out. An assessed one is not edited."""

    class State(models.TextChoices):
        DRAFT = "draft", _("draft")
        ASSESSED = "assessed", _("assessed")

    key = models.CharField(max_length=12, unique=True, default=make_key, editable=False)
    number = models.PositiveIntegerField(_("number"))
    title = models.CharField(_("title"), max_length=200)
    state = models.CharField(_("state"), max_length=20, choices=State, default=State.DRAFT)
    inputs = models.JSONField(_("inputs"), default=dict)
    inventory = models.ForeignKey(StoredFile, models.PROTECT, null=True, related_name="+")
    cabinet = models.ForeignKey(CabinetDefinition, models.PROTECT, null=True, related_name="+")
    room = models.ForeignKey(RoomDefinition, models.PROTECT, null=True, related_name="+")
    parent = models.ForeignKey("self", models.PROTECT, null=True, related_name="changed")
    assessed_at = models.DateTimeField(_("assessed"), null=True)
    inputs_sha256 = models.CharField(max_length=64, blank=True)
    record = models.JSONField(_("record"), null=True)
    record_sha256 = models.CharField(max_length=64, blank=True)
    verdict = models.CharField(_("verdict"), max_length=40, blank=True)
    life_ends = models.DateField(_("filter life ends"), null=True)
    versions = models.JSONField(_("versions"), default=dict)

    class Meta:
        verbose_name = _("assessment")
        verbose_name_plural = _("assessments")
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["organisation", "number"], name="one_number_each"),
            models.CheckConstraint(
                condition=models.Q(state="draft", record=None)
                | (models.Q(state="assessed") & ~models.Q(record=None)),
                name="assessed_has_record",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} · {self.title}"

    @property
    def is_draft(self) -> bool:
        return self.state == self.State.DRAFT
