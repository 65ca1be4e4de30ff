"""A fixed sensor's file."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy

from stillroom.records.models import Instrument
from stillroom.records.tenancy import visible
from stillroom.web.shared.fields import Form
from stillroom.web.visit.form import UNITS, point_choices

__all__ = ["SensorForm"]


class SensorForm(Form):
    instrument = forms.ModelChoiceField(
        label=gettext_lazy("Sensor"),
        queryset=visible(Instrument, None),
        empty_label=None,
        error_messages={"required": gettext_lazy("Choose the sensor")},
    )
    point = forms.ChoiceField(
        label=gettext_lazy("Where it stands"),
        widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Choose where it stands")},
    )
    unit = forms.ChoiceField(label=gettext_lazy("Unit, where the file names none"), choices=UNITS)
    file = forms.FileField(
        label=gettext_lazy("File"),
        allow_empty_file=True,
        help_text=gettext_lazy("CSV or XLSX with a header row: time, value, and unit if you like"),
        error_messages={
            "required": gettext_lazy("Choose the sensor's file"),
            "invalid": gettext_lazy("The file could not be received. Choose it again"),
        },
    )

    def __init__(self, *args, instruments, beds: int, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["instrument"].queryset = instruments
        self.fields["point"].choices = point_choices(beds)

    def values(self) -> dict[str, object]:
        given = self.cleaned_data
        name, _sep, bed = given["point"].partition(" beds ")
        return {
            "instrument": given["instrument"],
            "point": "between beds" if bed else name,
            "bed_number": int(bed or 1),
            "unit": given["unit"],
            "name": given["file"].name,
            "content": given["file"].read(),
        }
