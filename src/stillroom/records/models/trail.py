"""The trail's own tables: events, and signed checkpoints of them. Only `records.trail` adds to them."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from stillroom.records.chain import ALGORITHM, FIELDS, Entry
from stillroom.records.tracked import TrackedRows


class Appended(models.Model):
    """A row that is added by the trail and never touched again."""

    objects = TrackedRows.as_manager()

    class Meta:
        abstract = True
        base_manager_name = "objects"


class Event(Appended):
    """Who did what to which row, when and why; with the hash of the event before (`records.chain`)."""

    log = models.CharField(_("log"), max_length=40)
    seq = models.PositiveBigIntegerField(_("number"))
    prev = models.CharField(max_length=64)
    at = models.CharField(_("time, UTC"), max_length=27)
    actor = models.CharField(_("who"), max_length=150)
    action = models.CharField(_("what"), max_length=80)
    subject = models.CharField(_("which"), max_length=120, db_index=True)
    reason = models.TextField(_("why"))
    body = models.TextField(_("old and new values"))
    alg = models.CharField(max_length=20, default=ALGORITHM)
    hash = models.CharField(max_length=64)

    class Meta:
        verbose_name = _("event")
        verbose_name_plural = _("events")
        ordering = ["log", "seq"]
        constraints = [
            models.UniqueConstraint(fields=["log", "seq"], name="one_event_a_number"),
            models.UniqueConstraint(fields=["log", "prev"], name="one_event_a_predecessor"),
        ]

    def __str__(self) -> str:
        return f"{self.log} {self.seq} · {self.action}"

    @property
    def entry(self) -> Entry:
        return Entry(*(getattr(self, name) for name in FIELDS))


class Checkpoint(Appended):
    """A signed statement of a log's size, Merkle root and head at one time (`records.checkpoints`).

    `peaks` are the roots of the perfect subtrees, from the left, that the next checkpoint grows from; together
    they give `root`.
    """

    log = models.CharField(_("log"), max_length=40)
    size = models.PositiveBigIntegerField(_("events"))
    root = models.CharField(max_length=64)
    head = models.CharField(max_length=64)
    at = models.CharField(_("time, UTC"), max_length=27)
    peaks = models.TextField()
    key_id = models.CharField(max_length=16)
    signature = models.CharField(max_length=128)

    class Meta:
        verbose_name = _("checkpoint")
        verbose_name_plural = _("checkpoints")
        ordering = ["log", "size"]
        constraints = [models.UniqueConstraint(fields=["log", "size"], name="one_checkpoint_a_size")]

    def __str__(self) -> str:
        return f"{self.log} · {self.size}"
