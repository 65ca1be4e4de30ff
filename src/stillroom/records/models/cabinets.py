"""The physical cabinet, and what was done to its filters."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from stillroom.records.models.people import Owned, make_key


class Cabinet(Owned):
    """A cabinet that stands somewhere. One cabinet has many validations."""

    key = models.CharField(max_length=12, unique=True, default=make_key, editable=False)
    name = models.CharField(_("name"), max_length=200)
    serial = models.CharField(_("serial number"), max_length=100, blank=True)
    site = models.CharField(_("site"), max_length=200, blank=True)
    place = models.CharField(_("place in the room"), max_length=200, blank=True)
    room = models.CharField(_("room"), max_length=200, blank=True)
    commissioned = models.DateField(_("in use since"), null=True, blank=True)
    retired = models.DateField(_("out of use since"), null=True, blank=True)

    class Meta:
        verbose_name = _("cabinet")
        verbose_name_plural = _("cabinets")
        ordering = ["site", "name"]
        constraints = [
            models.UniqueConstraint(fields=["organisation", "site", "name"], name="one_cabinet_name_a_site")
        ]

    def __str__(self) -> str:
        return f"{self.name} · {self.site}" if self.site else self.name


class FilterChange(Owned):
    """New filters in a cabinet: which, by whom, and that the seal holds. Written once."""

    frozen_when = "always"

    key = models.CharField(max_length=12, unique=True, default=make_key, editable=False)
    cabinet = models.ForeignKey(Cabinet, models.PROTECT, related_name="filter_changes")
    on = models.DateField(_("date"))
    by = models.CharField(_("changed by"), max_length=200)
    stack = models.JSONField(_("beds put in"), default=list)
    leak_check = models.JSONField(_("leak check"), default=dict)
    removed_mass_g = models.FloatField(_("mass of the beds taken out, g"), null=True, blank=True)
    reason = models.TextField(_("reason"))

    class Meta:
        verbose_name = _("filter change")
        verbose_name_plural = _("filter changes")
        ordering = ["-on", "-pk"]

    def __str__(self) -> str:
        return f"{self.cabinet} · {self.on}"
