"""Dates in forms: the device's own calendar where it has one, and plain text everywhere."""

from __future__ import annotations

import datetime
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.web.shared.fields import tidy

__all__ = ["DateField", "MomentField", "latest_day"]


def latest_day() -> datetime.date:
    """The day that it is already somewhere (UTC+14): whoever works ahead of the server's clock may say today."""
    return (timezone.now() + datetime.timedelta(hours=14)).date()


class DateField(forms.Field):
    """A day, as 2026-03-04 or 4.3.2026; never one of two readings (4/3/2026)."""

    kind, example = "date", "2026-03-04"

    def __init__(self, *, label: str, optional: bool = False, latest_today: bool = False, **more: Any):
        self.plain_label, self.latest_today = label, latest_today
        more.setdefault("widget", forms.TextInput(attrs={"type": self.kind, "autocomplete": "off"}))
        shown = format_lazy(gettext_lazy("{label} (optional)"), label=label) if optional else label
        enter = format_lazy(gettext_lazy("Enter a date: {label}"), label=label)
        super().__init__(label=shown, required=not optional, error_messages={"required": enter}, **more)

    def prepare_value(self, value: Any) -> Any:
        return value.isoformat() if isinstance(value, datetime.date) else value

    def to_python(self, value: Any) -> Any:
        text = tidy(str(value or ""))
        if not text:
            return None
        try:
            found = self.read(text)
        except ValueError:
            raise forms.ValidationError(
                _("%(label)s must be a date, like %(example)s")
                % {"label": self.plain_label, "example": self.example}
            ) from None
        if self.latest_today and self.day(found) > latest_day():
            raise forms.ValidationError(_("%(label)s lies in the future") % {"label": self.plain_label})
        return found

    def read(self, text: str) -> Any:
        return _day(text)

    def day(self, value: Any) -> datetime.date:
        return value


class MomentField(DateField):
    """A day and time of day, on the server's clock (UTC unless it is set otherwise)."""

    kind, example = "datetime-local", "2026-03-04 14:30"

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, datetime.datetime):
            return timezone.localtime(value).strftime("%Y-%m-%dT%H:%M")
        return value

    def read(self, text: str) -> Any:
        day, _mark, hour = text.replace("T", " ").partition(" ")
        moment = datetime.datetime.combine(_day(day), datetime.time.fromisoformat(hour.strip()))
        return timezone.make_aware(moment)

    def day(self, value: Any) -> datetime.date:
        return timezone.localtime(value).date()


def _day(text: str) -> datetime.date:
    parts = text.split(".")
    if len(parts) == 3:
        return datetime.date(int(parts[2]), int(parts[1]), int(parts[0]))
    return datetime.date.fromisoformat(text)
