"""The room and what its air brings to the filter."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.web.shared.fields import Form, NumberField, SubstanceField, WordField

__all__ = ["RoomForm"]

ROWS = 5


class RoomForm(Form):
    name = WordField(label=gettext_lazy("Room"), enter=gettext_lazy("Enter a name or number for the room"))
    volume = NumberField(
        label=gettext_lazy("Volume"), unit="m³", unit_words=gettext_lazy("in m³"), low=2, high=100_000
    )
    changes = NumberField(
        label=gettext_lazy("Air changes an hour"), low=0, high=200,
        help_text=gettext_lazy("Outdoor or clean air only, not what is led round"),
    )  # fmt: skip
    temperature = NumberField(
        label=gettext_lazy("Temperature"), unit="°C", unit_words=gettext_lazy("in °C"), low=-10, high=50
    )
    humidity = NumberField(
        label=gettext_lazy("Relative humidity"),
        unit="%",
        unit_words=gettext_lazy("in per cent"),
        low=0,
        high=100,
    )
    pressure = NumberField(
        label=gettext_lazy("Air pressure"), unit="hPa", unit_words=gettext_lazy("in hPa"), low=500, high=1100, optional=True,
        help_text=gettext_lazy("As it is on the spot, not reduced to sea level: about 950 at 540 m; empty: 1013.25, at sea level"),
    )  # fmt: skip
    background = forms.ChoiceField(
        label=gettext_lazy("Vapours in the room's own air"),
        widget=forms.RadioSelect,
        choices=[
            (
                "unknown",
                gettext_lazy("I do not know: assume 0.3 mg/m³, counted as toluene, within a factor of 3"),
            ),
            ("measured", gettext_lazy("Measured, as below")),
            ("none", gettext_lazy("None: measured, and nothing was found")),
        ],
        error_messages={
            "required": gettext_lazy("Choose what is known of the room's own air"),
            "invalid_choice": gettext_lazy("Choose what is known of the room's own air"),
        },
    )

    def __init__(self, *args, tables: dict[str, Any], **kwargs):
        super().__init__(*args, initial=_initial(tables), **kwargs)
        self.tables = tables
        for n in range(1, ROWS + 1):
            self.fields[f"vapour_{n}"] = SubstanceField(label=_("Vapour %d") % n, required=False)
            self.fields[f"mg_{n}"] = NumberField(
                label=_("Amount of vapour %d") % n, unit="mg/m³", unit_words=_("in mg/m³"), low=1e-9, high=1000, required=False,
            )  # fmt: skip

        for n in range(1, ROWS + 1):  # the frame round the two names the vapour
            self.fields[f"vapour_{n}"].label = _("Name or CAS number")
            self.fields[f"mg_{n}"].label = _("Amount, in mg/m³")

    def vapours(self):
        return [(n, [self[f"vapour_{n}"], self[f"mg_{n}"]]) for n in range(1, ROWS + 1)]

    def clean(self):
        given = super().clean()
        rows = []
        for n in range(1, ROWS + 1):
            vapour, amount = given.get(f"vapour_{n}"), given.get(f"mg_{n}")
            if vapour and amount is None and f"mg_{n}" not in self.errors:
                self.add_error(f"mg_{n}", _("Enter the amount of vapour %d") % n)
            if amount is not None and not vapour and f"vapour_{n}" not in self.errors:
                self.add_error(f"vapour_{n}", _("Enter a name or CAS number for vapour %d") % n)
            if vapour and amount is not None:
                rows.append({"cas": vapour.cas, "mg_m3": amount})
        if given.get("background") == "measured" and not rows and not self.errors:
            self.add_error("vapour_1", _("Enter a vapour, or choose one of the other answers above"))
        if not self.errors:
            given["tables"] = self._tables(given, rows)
        return given

    def _humidity(self, percent: float) -> Any:
        """A range or a course that came in a file stays unless its most humid number was changed."""
        before = self.tables.get("room", {}).get("relative_humidity")
        if isinstance(before, list) and percent == _percent(before):
            return before
        return percent / 100

    def _tables(self, given: dict[str, Any], rows: list[dict[str, Any]]) -> dict[str, Any]:
        room = {
            **self.tables.get("room", {}),
            "name": given["name"],
            "volume_m3": given["volume"],
            "air_changes_per_h": given["changes"],
            "temperature_C": given["temperature"],
            "relative_humidity": self._humidity(given["humidity"]),
        }
        room.pop("pressure_Pa", None)
        if given["pressure"] is not None:
            room["pressure_Pa"] = given["pressure"] * 100
        tables = {**self.tables, "room": room}
        tables.pop("background", None)
        if given["background"] != "unknown":
            tables["background"] = rows if given["background"] == "measured" else []
        return tables


def _percent(humidity: Any) -> float:
    return round(100 * (max(humidity) if isinstance(humidity, list) else humidity), 6)


def _initial(tables: dict[str, Any]) -> dict[str, Any]:
    room = tables.get("room")
    if not room:
        return {"temperature": 22.0, "humidity": 50.0}
    stated = "background" in tables
    initial = {
        "name": room["name"],
        "volume": room["volume_m3"],
        "changes": room["air_changes_per_h"],
        "temperature": room.get("temperature_C", 22.0),
        "humidity": _percent(room.get("relative_humidity", 0.5)),
        "pressure": room["pressure_Pa"] / 100 if "pressure_Pa" in room else None,
        "background": "unknown" if not stated else "measured" if tables["background"] else "none",
    }
    for n, row in enumerate(tables.get("background", []), 1):
        initial |= {f"vapour_{n}": row["cas"], f"mg_{n}": row["mg_m3"]}
    return initial
