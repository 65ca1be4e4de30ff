"""A filter change: what goes in, what comes out, and whether the seal holds."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.records.models import make_key
from stillroom.services.replace_filter import LeakCheck, NewBed
from stillroom.web.shared.fields import Form, NumberField, TextField, WordField
from stillroom.web.shared.when import DateField

__all__ = ["FilterChangeForm"]


class FilterChangeForm(Form):
    key = forms.RegexField(r"[2-9a-z]{12}", widget=forms.HiddenInput)
    on = DateField(label=gettext_lazy("Date of the change"), latest_today=True)
    by = WordField(label=gettext_lazy("Changed by"), longest=150)
    removed = NumberField(
        label=gettext_lazy("Weight of all beds taken out"), unit="g", unit_words=gettext_lazy("in g"), low=1, high=1e7, optional=True,
        help_text=gettext_lazy("Whole cartridges on a balance, as they came out"),
    )  # fmt: skip
    leak = forms.ChoiceField(
        label=gettext_lazy("Leak check of the seal and the particulate filter"),
        widget=forms.RadioSelect,
        choices=[
            ("passed", gettext_lazy("Passed")),
            ("failed", gettext_lazy("Failed: the cabinet stays out of use")),
            ("not done", gettext_lazy("Not done")),
        ],
        error_messages={"required": gettext_lazy("Choose what the leak check gave")},
    )
    method = WordField(
        label=gettext_lazy("Method of the leak check"),
        optional=True,
        help_text=gettext_lazy("Such as photometer scan with an aerosol"),
    )
    held_against = WordField(
        label=gettext_lazy("Held against"),
        optional=True,
        help_text=gettext_lazy("Such as 0.01 % of the challenge"),
    )
    reason = TextField(label=gettext_lazy("Why it was changed"), rows=2, longest=2000)

    def __init__(self, *args, beds: list[dict[str, Any]], media: list[str], person: str, **kwargs):
        initial = {"key": make_key(), "on": timezone.localdate(), "by": person, "reason": _("Due")}
        super().__init__(*args, initial=initial, **kwargs)
        self.rows = len(beds) + 1
        choices = [("", _("no bed")), *((name, name) for name in media)]
        for n in range(1, self.rows + 1):
            known = beds[n - 1] if n <= len(beds) else {}
            self.fields[f"medium_{n}"] = forms.ChoiceField(
                label=_("Medium"), choices=choices, required=False, initial=known.get("medium", ""),
                error_messages={"invalid_choice": _("Choose one of the media")},
            )  # fmt: skip
            for part, label, unit, high in (
                ("mass", _("Medium, in kg"), "kg", 1000),
                ("weighed", _("Whole cartridge, in g (optional)"), "g", 1e6),
            ):
                self.fields[f"{part}_{n}"] = NumberField(
                    label=label, unit=unit, low=0.01, high=high, required=False,
                    initial=known.get("mass_kg") if part == "mass" else None,
                )  # fmt: skip
            self.fields[f"serial_{n}"] = WordField(
                label=_("Serial number"), code=True, required=False, longest=100
            )

    def beds(self):
        parts = ("serial", "medium", "mass", "weighed")
        return [(n, [self[f"{part}_{n}"] for part in parts]) for n in range(1, self.rows + 1)]

    def clean(self):
        given = super().clean()
        found = []
        for n in range(1, self.rows + 1):
            medium, mass, serial, weighed = (
                given.get(f"{part}_{n}") for part in ("medium", "mass", "serial", "weighed")
            )
            if not medium:
                if serial:
                    self.add_error(f"medium_{n}", _("Choose the medium of bed %d") % n)
                continue
            if mass is None and f"mass_{n}" not in self.errors:
                self.add_error(f"mass_{n}", _("Enter the mass of bed %d") % n)
            if not serial:
                self.add_error(f"serial_{n}", _("Enter the serial number of bed %d") % n)
            if not self.errors:
                found.append(NewBed(medium, mass, serial, weighed))
        if given.get("leak") in ("passed", "failed") and not given.get("method"):
            self.add_error("method", _("Enter the method of the leak check"))
        if not found and not self.errors:
            self.add_error("medium_1", _("Choose the medium of bed 1"))
        given["beds"] = found
        return given

    def values(self) -> dict[str, Any]:
        given = self.cleaned_data
        return {
            "key": given["key"],
            "on": given["on"],
            "by": given["by"],
            "beds": given["beds"],
            "leak_check": LeakCheck(given["leak"], given["method"], given["held_against"]),
            "removed_mass_g": given["removed"],
            "reason": given["reason"].strip(),
        }

    def add_core_problems(self, error) -> None:
        """Each problem beside its field."""
        for problem in error.problems:
            field = f"serial_{problem.row}" if problem.column == "serial" else problem.column
            found = f" ({problem.found})" if problem.found else ""
            self.add_error(
                field if field in self.fields else None,
                f"{problem.what[:1].upper()}{problem.what[1:]}{found}. {problem.mend}",
            )
