"""Rows that are written through the trail only: the manager and the base class that refuse every other way."""

from __future__ import annotations

from typing import Any, ClassVar, NoReturn

from django.db import models

from stillroom.errors import StillroomError
from stillroom.records.canonical import canonical, plain, sha256

__all__ = ["Frozen", "NotThroughTrail", "Tracked", "TrackedRows", "kinds"]


class NotThroughTrail(StillroomError):
    """A tracked row was to be written outside `trail.writing`."""


class Frozen(StillroomError):
    """A row that is never edited was to be changed or deleted."""


def _refuse(model: type[models.Model], verb: str) -> NoReturn:
    raise NotThroughTrail(
        f"{verb} on {model._meta.verbose_name_plural} would leave no trail. "
        "Save row by row inside trail.writing(organisation, actor, reason=…)."
    )


class TrackedRows(models.QuerySet):
    """Rows to read; what would write many at once, past the trail, is refused. `delete` goes row by row."""

    def update(self, **values: Any) -> NoReturn:
        _refuse(self.model, "update()")

    def bulk_create(self, *args: Any, **options: Any) -> NoReturn:
        _refuse(self.model, "bulk_create()")

    def bulk_update(self, *args: Any, **options: Any) -> NoReturn:
        _refuse(self.model, "bulk_update()")

    update.alters_data = bulk_create.alters_data = bulk_update.alters_data = True


class Tracked(models.Model):
    """A row whose every write has an event in a log, in the same transaction."""

    exempt: ClassVar[frozenset[str]] = frozenset()
    """Fields that are written without an event, and stand in none."""
    by_hash: ClassVar[frozenset[str]] = frozenset()
    """Fields that stand in the event by their SHA-256: secrets, and what is large."""
    frozen_when: ClassVar[str] = "never"
    """"always": written once; a condition in SQL on `OLD`: frozen once it holds; "never"."""

    objects = TrackedRows.as_manager()

    class Meta:
        abstract = True
        base_manager_name = "objects"

    @classmethod
    def is_frozen(cls, stored: dict[str, Any]) -> bool:
        """Whether the row with these stored values may no longer change."""
        return cls.frozen_when == "always"

    @classmethod
    def log_of(cls, noted: dict[str, Any]) -> str:
        """The log that a row with these values belongs to."""
        from stillroom.records.models.people import log_of_organisation

        return log_of_organisation(noted.get("organisation_id"))

    @classmethod
    def subject_of(cls, noted: dict[str, Any]) -> str:
        """What events call this row: its kind, and its key or number."""
        return f"{cls._meta.model_name}:{noted.get('key') or noted[cls._meta.pk.attname]}"

    @classmethod
    def tracked_fields(cls) -> tuple[str, ...]:
        return tuple(field.attname for field in cls._meta.concrete_fields if field.attname not in cls.exempt)

    @classmethod
    def noted(cls, stored: dict[str, Any]) -> dict[str, Any]:
        """The stored values as they stand in an event."""
        return {
            name: {"sha256": sha256(canonical(value))} if name in cls.by_hash else plain(value)
            for name, value in stored.items()
        }

    @classmethod
    def stored(cls, pk: Any) -> dict[str, Any] | None:
        """The values in the database now; none where there is no such row."""
        return cls._base_manager.filter(pk=pk).values(*cls.tracked_fields()).first() if pk else None


def kinds() -> list[type[Tracked]]:
    """Every kind of tracked row there is."""
    from django.apps import apps

    return [model for model in apps.get_models() if issubclass(model, Tracked)]
