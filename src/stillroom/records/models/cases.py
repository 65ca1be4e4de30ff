"""Cases: files, definitions, assessments; and the signature that makes an assessment a validation."""

from __future__ import annotations

import secrets
from typing import Any

from django.db import models
from django.utils.translation import gettext_lazy as _

from stillroom.records.models.cabinets import Cabinet
from stillroom.records.models.people import Owned, User, make_key


def make_label_token() -> str:
    """The secret part of a label's address: 128 random bits in 22 characters."""
    return secrets.token_urlsafe(16)


class StoredFile(Owned):
    """A file as it was given, byte for byte."""

    frozen_when = "always"

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

    frozen_when = "always"

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
        verbose_name = _("cabinet definition")
        verbose_name_plural = _("cabinet definitions")
        constraints = [
            models.UniqueConstraint(fields=["organisation", "name", "version"], name="one_cabinet_version")
        ]


class RoomDefinition(Definition):
    class Meta(Definition.Meta):
        verbose_name = _("room definition")
        verbose_name_plural = _("room definitions")
        constraints = [
            models.UniqueConstraint(fields=["organisation", "name", "version"], name="one_room_version")
        ]


class Assessment(Owned):
    """One case: what was asked and, once assessed, what came out. An assessed one is not edited."""

    frozen_when = "OLD.state = 'assessed'"
    by_hash = frozenset({"record"})

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

    @classmethod
    def is_frozen(cls, stored: dict[str, Any]) -> bool:
        return stored["state"] == cls.State.ASSESSED


class Validation(Owned):
    """A signed assessment. Never edited: superseded by a new one, or withdrawn.

    `record_text` is canonical JSON with the signature block inside; `record_sha256` its hash;
    `statement_sha256` the hash of what was signed (`records.statement`); `head` the first 32 hexadecimal digits of
    the log's head, at `event_seq`, before the signature, as printed on paper.
    """

    frozen_when = "always"
    by_hash = frozenset({"record_text"})

    class Meaning(models.TextChoices):
        APPROVED = "approved and responsible", _("approved and responsible")
        REFUSED = "refused", _("refused")
        REVIEWED = "reviewed", _("reviewed")

    key = models.CharField(max_length=12, unique=True, default=make_key, editable=False)
    number = models.PositiveIntegerField(_("number"))
    version = models.PositiveIntegerField(_("version, counted by cabinet"))
    cabinet = models.ForeignKey(Cabinet, models.PROTECT, related_name="validations")
    assessment = models.OneToOneField(Assessment, models.PROTECT, related_name="validation")
    record_text = models.TextField(_("record as signed"))
    record_sha256 = models.CharField(max_length=64)
    meaning = models.CharField(_("meaning"), max_length=40, choices=Meaning)
    signer = models.ForeignKey(User, models.PROTECT, related_name="+", verbose_name=_("signed by"))
    signer_name = models.CharField(_("name of the signer"), max_length=150)
    signed_at = models.DateTimeField(_("signed"))
    statement_sha256 = models.CharField(max_length=64)
    key_id = models.CharField(max_length=16)
    signature = models.CharField(max_length=128)
    supersedes = models.OneToOneField("self", models.PROTECT, null=True, related_name="superseded_by")
    label_token = models.CharField(max_length=22, unique=True, default=make_label_token, editable=False)
    event_seq = models.PositiveBigIntegerField()
    head = models.CharField(max_length=32)
    valid_until = models.DateField(_("valid until"), null=True)

    class Meta:
        verbose_name = _("validation")
        verbose_name_plural = _("validations")
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["organisation", "number"], name="one_validation_number_each"),
            models.UniqueConstraint(fields=["cabinet", "version"], name="one_validation_version_each"),
        ]

    def __str__(self) -> str:
        return f"{self.number} · {self.cabinet}"


class Review(Owned):
    """A second person's signature on a validation, that it was reviewed. Written once; bound to the validation's hash."""

    frozen_when = "always"

    validation = models.OneToOneField(Validation, models.PROTECT, related_name="review")
    meaning = models.CharField(_("meaning"), max_length=40, choices=Validation.Meaning)
    reviewer = models.ForeignKey(User, models.PROTECT, related_name="+", verbose_name=_("reviewed by"))
    reviewer_name = models.CharField(_("name of the reviewer"), max_length=150)
    reviewed_at = models.DateTimeField(_("reviewed"))
    statement_sha256 = models.CharField(max_length=64)
    key_id = models.CharField(max_length=16)
    signature = models.CharField(max_length=128)
    event_seq = models.PositiveBigIntegerField()
    head = models.CharField(max_length=32)

    class Meta:
        verbose_name = _("review")
        verbose_name_plural = _("reviews")
        constraints = [
            models.CheckConstraint(condition=models.Q(meaning="reviewed"), name="a_review_means_reviewed")
        ]

    def __str__(self) -> str:
        return f"{self.validation} · {self.reviewer_name}"


class Withdrawal(Owned):
    """A validation that no longer holds, with the reason. Written once."""

    frozen_when = "always"

    validation = models.OneToOneField(Validation, models.PROTECT, related_name="withdrawal")
    reason = models.TextField(_("reason"))
    by = models.ForeignKey(User, models.PROTECT, related_name="+", verbose_name=_("withdrawn by"))
    at = models.DateTimeField(_("withdrawn"))

    class Meta:
        verbose_name = _("withdrawal")
        verbose_name_plural = _("withdrawals")

    def __str__(self) -> str:
        return f"{self.validation} · {self.at:%Y-%m-%d}"
