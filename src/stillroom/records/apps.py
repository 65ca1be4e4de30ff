"""The Django app of what is stored."""

from django.apps import AppConfig
from django.utils.translation import gettext_lazy as _


class RecordsConfig(AppConfig):
    name = "stillroom.records"
    label = "records"
    verbose_name = _("Records")
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from stillroom.records import beginning, guards, trail

        trail.watch()
        guards.keep()
        beginning.keep()
