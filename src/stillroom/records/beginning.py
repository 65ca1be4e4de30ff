"""Rows that were stored before there was a trail are taken into it once, as they are."""

from __future__ import annotations

from typing import Any

from django.apps import apps
from django.db import connections
from django.db.models.signals import post_migrate

from stillroom.records import guards
from stillroom.records.checkpoints import copies
from stillroom.records.health import waiting_migrations
from stillroom.records.models import Event, User
from stillroom.records.tracked import kinds
from stillroom.records.trail import writing

__all__ = ["keep", "take_over"]


def keep() -> None:
    """Have it looked for after every `migrate`; called once, at start, after the guards are."""
    sender = apps.get_app_config("records")
    post_migrate.connect(_begin, sender=sender, dispatch_uid="beginning")


def take_over() -> int:
    """Give every stored row its first event, where no trail ever began here; gives the number of rows [-]."""
    if Event.objects.exists() or not User.objects.exists() or any(copies()):
        return 0
    with writing(None, "stillroom", reason="stored before the trail began; taken over as it is") as write:
        for model in kinds():
            for pk in model.objects.order_by("pk").values_list("pk", flat=True):
                write.note(model, pk, None)
        return len(write.notes)


def _begin(using: str, **_: Any) -> None:
    connection = connections[using]
    if using == "default" and not waiting_migrations(connection) and not guards.missing(connection):
        take_over()
