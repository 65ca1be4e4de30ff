"""What a comparison with a ducted cabinet needs; each number exact, or from low to high."""

from __future__ import annotations

import math
import re
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.units import QuantityError, parse_number
from stillroom.web.shared.fields import Form, NumberField, TextField, WordField, YesNoField, tidy

__all__ = ["SavingsForm", "SpanField"]

_BETWEEN = re.compile(r"\s*(?:-|\bto\b|…|\.\.\.?)\s*")
LARGEST_TABLE = 20_000


class SpanField(WordField):
    """A number, or "low – high", or "low – middle – high"; gives a number or the three of them.

    Between two ends the middle is their geometric mean.
    """

    def __init__(self, *, label: str, unit: str = "", low: float = 0.0, high: float = 1e9, **more: Any):
        self.unit, self.low, self.high = unit, low, high
        attributes = {"inputmode": "text", "autocomplete": "off", "spellcheck": "false", "class": "number"}
        super().__init__(label=label, longest=60, widget=forms.TextInput(attrs=attributes), **more)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        if self.unit and text.lower().endswith(str(self.unit).lower()):
            text = text[: len(text) - len(str(self.unit))].strip()
        try:
            ends = [parse_number(part) for part in _BETWEEN.split(tidy(text))]
        except QuantityError:
            ends = []
        if len(ends) not in (1, 2, 3):
            raise forms.ValidationError(
                _("%(label)s must be a number, like 2.5, or an interval, like 2-3")
                % {"label": self.plain_label}
            )
        if ends != sorted(ends):
            raise forms.ValidationError(
                _("%(label)s must rise from low to high") % {"label": self.plain_label}
            )
        if not (self.low <= ends[0] and ends[-1] <= self.high):
            raise forms.ValidationError(
                _("%(label)s must be between %(low)g and %(high)g")
                % {"label": self.plain_label, "low": self.low, "high": self.high}
            )
        if len(ends) == 1:
            return ends[0]
        if ends[0] <= 0.0:
            raise forms.ValidationError(
                _("%(label)s: an interval starts above zero") % {"label": self.plain_label}
            )
        return [ends[0], math.sqrt(ends[0] * ends[1]), ends[1]] if len(ends) == 2 else ends


class SavingsForm(Form):
    flow = NumberField(
        label=gettext_lazy("Flow of either cabinet"),
        unit="m³/h",
        unit_words=gettext_lazy("in m³/h"),
        low=1,
        high=20_000,
    )
    hours = NumberField(label=gettext_lazy("Running hours a year"), unit="h", low=1, high=8760)
    currency = WordField(label=gettext_lazy("Currency, three letters"), code=True, longest=3)
    temperature = SpanField(label=gettext_lazy("Room temperature, in °C"), unit="°C", high=50)
    humidity = SpanField(label=gettext_lazy("Relative humidity of the room, in per cent"), unit="%", high=100)
    climate = TextField(
        label=gettext_lazy("Outdoor air, month by month"), required=False, rows=6, longest=LARGEST_TABLE,
        help_text=gettext_lazy("Header month, temperature_C, relative_humidity, then twelve rows; or send a file below"),
    )  # fmt: skip
    climate_file = forms.FileField(
        label=gettext_lazy("The same as a CSV file (optional)"), required=False, allow_empty_file=True
    )
    climate_source = WordField(label=gettext_lazy("Where the climate table comes from"), longest=300)
    cop = SpanField(label=gettext_lazy("Cooling: heat removed over electricity (COP)"), low=0.1, high=20)
    efficiency = SpanField(label=gettext_lazy("Heating: heat given over energy bought"), low=0.1, high=10)
    humidifies = YesNoField(label=gettext_lazy("Is dry outdoor air humidified?"))
    reheats = YesNoField(label=gettext_lazy("Is air that was dried heated again?"))
    recovery = SpanField(label=gettext_lazy("Heat recovery, in per cent"), unit="%", high=100)
    electricity = SpanField(label=gettext_lazy("Price of electricity, a kWh"), high=1e5)
    heat = SpanField(label=gettext_lazy("Price of heat, a kWh"), high=1e5)
    ducted_fan = SpanField(label=gettext_lazy("Ducted: fan, in W"), unit="W", high=1e5)
    upkeep = SpanField(label=gettext_lazy("Ducted: upkeep, a year"))
    installation = SpanField(label=gettext_lazy("Ducted: duct, roof fan and controls"))
    lasts = NumberField(label=gettext_lazy("Ducted: years that it lasts"), low=1, high=100)
    filtered_fan = SpanField(label=gettext_lazy("Filtered: fan, in W"), unit="W", high=1e5)
    life = SpanField(label=gettext_lazy("Filtered: filter life, in days"), unit="d", low=1, high=36500)
    filter_set = SpanField(label=gettext_lazy("Filtered: a set of filters, changed and disposed of"))
    visits = SpanField(label=gettext_lazy("Filtered: visits a year"), high=1000)
    visit = SpanField(label=gettext_lazy("Filtered: a visit"))

    parts = (
        (gettext_lazy("Both cabinets"), ("flow", "hours", "currency")),
        (gettext_lazy("Room and climate"), ("temperature", "humidity", "climate", "climate_file", "climate_source")),
        (gettext_lazy("The building's plant"), ("cop", "efficiency", "humidifies", "reheats", "recovery")),
        (gettext_lazy("Prices, in the currency above"), ("electricity", "heat")),
        (gettext_lazy("The ducted cabinet"), ("ducted_fan", "upkeep", "installation", "lasts")),
        (gettext_lazy("The filtered cabinet"), ("filtered_fan", "life", "filter_set", "visits", "visit")),
    )  # fmt: skip

    def groups(self):
        return [(title, [self[name] for name in names]) for title, names in self.parts]

    def clean_currency(self):
        written = self.cleaned_data["currency"].upper()
        if not re.fullmatch(r"[A-Z]{3}", written):
            raise forms.ValidationError(_("Currency, three letters must be like MYR or EUR"))
        return written

    def clean(self):
        given = super().clean()
        file = given.get("climate_file")
        if file is not None:
            if file.size > LARGEST_TABLE:
                self.add_error("climate_file", _("The climate file can be 20 kB at most"))
            else:
                try:
                    given["climate"] = file.read().decode("utf-8-sig")
                except UnicodeDecodeError:
                    self.add_error(
                        "climate_file", _("The climate file is not UTF-8 text. Save it as CSV (UTF-8)")
                    )
        if not (given.get("climate") or "").strip() and not {"climate", "climate_file"} & set(self.errors):
            self.add_error("climate", _("Enter the outdoor air of twelve months, or send a file"))
        return given

    def tables(self, name: str) -> dict[str, Any]:
        """What the form says as the tables of a comparison file, but for the climate."""
        given = self.cleaned_data
        return {
            "savings": {
                "name": name, "flow_m3_h": given["flow"], "running_hours": given["hours"], "currency": given["currency"],
            },
            "room": {"temperature_C": given["temperature"], "relative_humidity": _hundredth(given["humidity"])},
            "plant": {
                "cooling_cop": given["cop"], "heating_efficiency": given["efficiency"], "humidifies": given["humidifies"],
                "reheats": given["reheats"], "recovery": _hundredth(given["recovery"]),
            },
            "prices": {"electricity_per_kWh": given["electricity"], "heat_per_kWh": given["heat"]},
            "ducted": {
                "fan_W": given["ducted_fan"], "upkeep_per_year": given["upkeep"], "installation": given["installation"],
                "lasts_years": given["lasts"],
            },
            "filtered": {
                "fan_W": given["filtered_fan"], "filter_life_days": given["life"], "filter_set": given["filter_set"],
                "visits_per_year": given["visits"], "visit": given["visit"],
            },
        }  # fmt: skip


def _hundredth(value: float | list[float]) -> float | list[float]:
    return [part / 100 for part in value] if isinstance(value, list) else value / 100
