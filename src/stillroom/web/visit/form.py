"""A visit, for one hand: where it was read by big buttons, the value by the numeric keyboard."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.records.models import Instrument, make_key
from stillroom.records.tenancy import visible
from stillroom.services.visit import Entry
from stillroom.web.shared.fields import Form, TextField, WordField
from stillroom.web.shared.when import MomentField

__all__ = ["ROWS", "VisitForm", "point_choices"]

ROWS = 6
UNITS = [("ppm", "ppm"), ("ppb", "ppb"), ("mg/m3", "mg/m³"), ("ug/m3", "µg/m³")]
_KEY = r"[2-9a-z]{12}"


def point_choices(beds: int) -> list[tuple[str, Any]]:
    """The points of a cabinet with so many beds; behind which bed stands in the value."""
    between = [
        (
            f"between beds {number}",
            _("Between the beds") if beds == 2 else _("Behind bed %d") % number,
        )
        for number in range(1, beds)
    ]
    return [("exhaust", _("Exhaust")), *between, ("cabinet", _("Cabinet")), ("room", _("Room"))]


class VisitForm(Form):
    key = forms.RegexField(_KEY, widget=forms.HiddenInput)
    instrument = forms.ModelChoiceField(
        label=gettext_lazy("Instrument"),
        queryset=visible(Instrument, None),
        empty_label=None,
        error_messages={"required": gettext_lazy("Choose an instrument")},
    )
    measured_at = MomentField(label=gettext_lazy("Measured"), latest_today=True)
    person = WordField(label=gettext_lazy("Measured by"), longest=150)
    note = TextField(label=gettext_lazy("Note"), optional=True, rows=3, longest=5000)

    def __init__(self, *args, instruments, beds: int, person: str, **kwargs):
        initial = {"key": make_key(), "measured_at": timezone.now(), "person": person}
        super().__init__(*args, initial=initial, **kwargs)
        self.fields["instrument"].queryset = instruments
        zone = timezone.get_current_timezone_name()
        self.fields["measured_at"].help_text = _("Day and time of day, time zone %s") % zone
        for n in range(1, ROWS + 1):
            self.fields[f"point_{n}"] = forms.ChoiceField(
                label=_("Where"), choices=point_choices(beds), widget=forms.RadioSelect, required=False,
                error_messages={"invalid_choice": _("Choose where reading %d was taken") % n},
            )  # fmt: skip
            self.fields[f"value_{n}"] = WordField(
                label=_("Value"), required=False, longest=40,
                widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "spellcheck": "false", "class": "number"}),
            )  # fmt: skip
            self.fields[f"unit_{n}"] = forms.ChoiceField(
                label=_("Unit"), choices=UNITS, initial="ppm", required=False
            )
            self.fields[f"below_{n}"] = forms.BooleanField(
                label=_("Nothing seen: below the detection limit"), required=False
            )

    def rows(self):
        """Each reading's number, its fields by part, and whether it is to be shown open."""
        for n in range(1, ROWS + 1):
            parts = {part: self[f"{part}_{n}"] for part in ("point", "value", "unit", "below")}
            used = any(parts[part].value() for part in ("point", "value", "below"))
            yield n, parts, n == 1 or used

    def clean(self):
        given = super().clean()
        entries, self.row_of = [], []
        for n in range(1, ROWS + 1):
            point, value, below = (given.get(f"{part}_{n}") for part in ("point", "value", "below"))
            if not (point or value or below):
                continue
            if not point and f"point_{n}" not in self.errors:
                self.add_error(f"point_{n}", _("Choose where reading %d was taken") % n)
            if not value and not below and f"value_{n}" not in self.errors:
                self.add_error(
                    f"value_{n}", _("Enter the value of reading %d, or tick that nothing was seen") % n
                )
            name, _sep, bed = (point or "").partition(" beds ")
            entries.append(
                Entry("between beds" if bed else name, value or "", given.get(f"unit_{n}") or "ppm", bool(below), int(bed or 1))
            )  # fmt: skip
            self.row_of.append(n)
        if not entries and not self.errors:
            self.add_error("point_1", _("Choose where reading 1 was taken"))
        given["entries"] = entries
        return given

    def add_row_problems(self, error) -> None:
        """Each problem of the core beside the reading it concerns."""
        for problem in error.problems:
            n = self.row_of[problem.row - 1] if problem.row and problem.row <= len(self.row_of) else 1
            field = "point" if problem.column == "point" else "value"
            found = f" ({problem.found})" if problem.found else ""
            words = f"{problem.what[:1].upper()}{problem.what[1:]}{found}. {problem.mend}"
            self.add_error(f"{field}_{n}" if problem.row else None, words)
