"""Flow, particulate filter, beds and longest interval of the chosen cabinet."""

from __future__ import annotations

import copy
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.errors import InputError
from stillroom.web.shared.core import cabinet_of
from stillroom.web.shared.fields import Form, NumberField, WordField

__all__ = ["FiltersForm"]

BEDS = 4


def media_choices() -> list[tuple[str, str]]:
    from stillroom import media

    return [("", _("No bed")), *((name, media.load(name).title) for name in media.names())]


class FiltersForm(Form):
    name = WordField(
        label=gettext_lazy("Name of this cabinet"), enter=gettext_lazy("Enter a name for the cabinet")
    )
    flow = NumberField(
        label=gettext_lazy("Air flow"),
        unit="m³/h",
        unit_words=gettext_lazy("in m³ an hour"),
        low=2,
        high=5000,
    )
    particulate = WordField(
        label=gettext_lazy("Particulate filter"),
        optional=True,
        code=True,
        longest=20,
        help_text=gettext_lazy(
            "Class of EN 1822 or ISO 29463, for example H14 or ISO 45 H; empty where there is none"
        ),
    )
    age = NumberField(
        label=gettext_lazy("Longest filter interval"), unit=gettext_lazy("days"), unit_words=gettext_lazy("in days"),
        low=1, high=3650, help_text=gettext_lazy("The maker's or the site's, whatever the load"),
    )  # fmt: skip
    detector = WordField(
        label=gettext_lazy("Fixed detector"), optional=True,
        help_text=gettext_lazy("How saturation is noticed between visits; empty where visits are the only way"),
    )  # fmt: skip

    def __init__(self, *args, tables, **kwargs):
        self.tables = tables
        super().__init__(*args, initial=_initial(tables), **kwargs)
        choices = media_choices()
        for n in range(1, BEDS + 1):
            self.fields[f"medium_{n}"] = forms.ChoiceField(
                label=_("Medium of bed %d") % n,
                choices=choices,
                required=False,
                error_messages={"invalid_choice": _("Choose one of the media")},
            )
            self.fields[f"mass_{n}"] = NumberField(
                label=_("Mass of bed %d") % n,
                unit="kg",
                unit_words=_("in kg"),
                low=0.01,
                high=1000,
                required=False,
            )
            self.fields[f"area_{n}"] = NumberField(
                label=_("Face area of bed %d") % n, unit="m²", unit_words=_("in m²"), low=0.001, high=20,
                required=False,
            )  # fmt: skip

    def beds(self):
        """The fields of each bed, for the page."""
        return [(n, [self[f"{part}_{n}"] for part in ("medium", "mass", "area")]) for n in range(1, BEDS + 1)]

    def clean(self):
        given = super().clean()
        beds = []
        for n in range(1, BEDS + 1):
            medium = given.get(f"medium_{n}")
            values = {part: given.get(f"{part}_{n}") for part in ("mass", "area")}
            if not medium:
                continue
            for part, message in (
                ("mass", _("Enter the mass of bed %d")),
                ("area", _("Enter the face area of bed %d")),
            ):
                if values[part] is None and f"{part}_{n}" not in self.errors:
                    self.add_error(f"{part}_{n}", message % n)
            beds.append({"medium": medium, "mass_kg": values["mass"], "area_m2": values["area"]})
        if not self.errors:
            given["tables"] = self._tables(given, beds)
        return given

    def _tables(self, given: dict[str, Any], beds: list[dict[str, Any]]) -> dict[str, Any] | None:
        tables = copy.deepcopy(self.tables)
        tables["cabinet"] |= {
            "name": given["name"],
            "flow_m3_h": given["flow"],
            "detector": given["detector"],
        }
        if given["age"] != tables["cabinet"].get("max_filter_age_days", 365.0):
            tables["cabinet"]["max_filter_age_days"] = given["age"]
        tables["filters"].pop("particulate", None)
        if given["particulate"]:
            tables["filters"]["particulate"] = given["particulate"]
        tables["filters"]["bed"] = beds
        try:
            cabinet_of(tables)
        except InputError as error:
            self.add_problems(error)
            return None
        return tables


def _initial(tables: dict[str, Any]) -> dict[str, Any]:
    cabinet, filters = tables["cabinet"], tables["filters"]
    initial = {
        "name": cabinet["name"],
        "flow": cabinet["flow_m3_h"],
        "particulate": filters.get("particulate") or "",
        "age": cabinet.get("max_filter_age_days", 365.0),
        "detector": cabinet.get("detector", ""),
    }
    for n, bed in enumerate(filters.get("bed", []), 1):
        initial |= {f"medium_{n}": bed["medium"], f"mass_{n}": bed["mass_kg"], f"area_{n}": bed["area_m2"]}
    return initial
