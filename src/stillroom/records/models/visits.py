"""Visits: instruments with their calibrations, what was read where, and series of fixed sensors."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from stillroom.records.models.cabinets import Cabinet
from stillroom.records.models.cases import StoredFile, Validation
from stillroom.records.models.people import Owned, make_key


class Point(models.TextChoices):
    """Where air is sampled."""

    EXHAUST = "exhaust", _("exhaust")
    BETWEEN_BEDS = "between beds", _("between beds")
    CABINET = "cabinet", _("cabinet")
    ROOM = "room", _("room")


class Instrument(Owned):
    """A detector: lamp, response factors from its manual with their source, detection limit."""

    key = models.CharField(max_length=12, unique=True, default=make_key, editable=False)
    name = models.CharField(_("name"), max_length=200)
    kind = models.CharField(_("kind"), max_length=40)
    lamp_eV = models.FloatField(_("lamp, eV"), null=True, blank=True)
    response_factors = models.JSONField(_("response factors"), default=list, blank=True)
    detection_limit_ppm = models.FloatField(_("detection limit, ppm"), null=True, blank=True)

    class Meta:
        verbose_name = _("instrument")
        verbose_name_plural = _("instruments")
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["organisation", "name"], name="one_instrument_name_each")
        ]

    def __str__(self) -> str:
        return self.name


class Calibration(Owned):
    """An instrument was calibrated. Written once."""

    frozen_when = "always"

    instrument = models.ForeignKey(Instrument, models.PROTECT, related_name="calibrations")
    on = models.DateField(_("date"))
    due = models.DateField(_("due again"), null=True, blank=True)
    by = models.CharField(_("calibrated by"), max_length=200)
    gas = models.CharField(_("calibration gas"), max_length=200, blank=True)
    certificate = models.CharField(_("certificate"), max_length=200, blank=True)

    class Meta:
        verbose_name = _("calibration")
        verbose_name_plural = _("calibrations")
        ordering = ["-on", "-pk"]

    def __str__(self) -> str:
        return f"{self.instrument} · {self.on}"


class Visit(Owned):
    """Someone came to a cabinet and measured. Written once."""

    frozen_when = "always"

    key = models.CharField(max_length=12, unique=True, default=make_key, editable=False)
    cabinet = models.ForeignKey(Cabinet, models.PROTECT, related_name="visits")
    validation = models.ForeignKey(Validation, models.PROTECT, null=True, related_name="visits")
    on = models.DateField(_("date"))
    person = models.CharField(_("person"), max_length=200)
    note = models.TextField(_("note"), blank=True)

    class Meta:
        verbose_name = _("visit")
        verbose_name_plural = _("visits")
        ordering = ["-on", "-pk"]

    def __str__(self) -> str:
        return f"{self.cabinet} · {self.on}"


class Reading(Owned):
    """One value at one point, as typed, and what the model said to it. Written once.

    A value below the detection limit is kept as that: `below_detection`, with the limit that held.
    """

    frozen_when = "always"

    visit = models.ForeignKey(Visit, models.PROTECT, related_name="readings")
    instrument = models.ForeignKey(Instrument, models.PROTECT, null=True, related_name="readings")
    point = models.CharField(_("point"), max_length=20, choices=Point)
    value_ppm = models.CharField(_("value as typed"), max_length=40, blank=True)
    unit = models.CharField(_("unit"), max_length=20, default="ppm")
    below_detection = models.BooleanField(_("below the detection limit"), default=False)
    detection_limit_ppm = models.FloatField(_("detection limit, ppm"), null=True, blank=True)
    measured_at = models.DateTimeField(_("measured"))
    entered_at = models.DateTimeField(_("entered"), auto_now_add=True)
    answer = models.JSONField(_("what the model says to it"), default=dict)

    class Meta:
        verbose_name = _("reading")
        verbose_name_plural = _("readings")
        ordering = ["measured_at", "pk"]

    def __str__(self) -> str:
        return f"{self.visit} · {self.get_point_display()}"


class Strike(Owned):
    """A reading that was mistyped, struck out with the reason. It stays to be seen and counts nowhere. Written once."""

    frozen_when = "always"

    reading = models.OneToOneField(Reading, models.PROTECT, related_name="strike")
    reason = models.TextField(_("reason"))
    answer = models.JSONField(_("what the model says to the readings that are left"), default=dict)

    class Meta:
        verbose_name = _("struck reading")
        verbose_name_plural = _("struck readings")

    def __str__(self) -> str:
        return f"{self.reading} · {self.created_at:%Y-%m-%d}"


class Series(Owned):
    """What a fixed sensor wrote down: the file as it came, and its summary. Written once."""

    frozen_when = "always"

    cabinet = models.ForeignKey(Cabinet, models.PROTECT, related_name="series")
    file = models.ForeignKey(StoredFile, models.PROTECT, related_name="+")
    point = models.CharField(_("point"), max_length=20, choices=Point)
    instrument = models.ForeignKey(Instrument, models.PROTECT, null=True, related_name="series")
    summary = models.JSONField(_("summary"), default=dict)

    class Meta:
        verbose_name = _("series of a sensor")
        verbose_name_plural = _("series of sensors")
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.cabinet} · {self.get_point_display()} · {self.file}"
