"""Flow, particulate filter, beds and longest interval of the chosen cabinet."""

from __future__ import annotations

import copy
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.errors import InputError
from stillroom.web.filters.own import key_of, own_media
from stillroom.web.shared.core import cabinet_of
from stillroom.web.shared.fields import Form, NumberField, WordField
from stillroom.web.templatetags.words import percent

__all__ = ["FiltersForm"]

BEDS = 4
PLACES = {"filters.seal_bypass": "seal_low", "filter_class": "particulate"}
"""Where a fault of the cabinet's tables is shown; elsewhere it stands above the form."""


def media_choices(own: dict[str, dict[str, Any]]) -> list[Any]:
    """Shipped media, then the organisation's own."""
    from stillroom import media

    shipped = [(name, media.load(name).title) for name in media.names()]
    if not own:
        return [("", _("No bed")), *shipped]
    words = _("%(title)s (%(name)s, version %(version)s)")
    rows = [(key, words % {"version": "1", **table}) for key, table in own.items()]
    return [("", _("No bed")), (_("Of your own"), rows), (_("Shipped"), shipped)]


def seal_choices() -> list[tuple[str, str]]:
    """The usual by-pass with its figures, or the user's."""
    from stillroom import media

    usual = media.default_seal_bypass()
    figures = {
        "middle": percent(usual.p50), "low": percent(usual.p05), "high": percent(usual.p95)
    }  # fmt: skip
    return [
        ("usual", _("Not tested: %(middle)s of the air is taken to pass by, between %(low)s and %(high)s") % figures),
        ("own", _("Tested on this cabinet, or stated by its maker: as below")),
    ]  # fmt: skip


def share(label: Any) -> NumberField:
    return NumberField(
        label=label, unit="%", unit_words=gettext_lazy("in per cent"), low=1e-6, high=99.9, required=False
    )


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
    seal = forms.ChoiceField(
        label=gettext_lazy("How tight are the seals round the filters?"),
        widget=forms.RadioSelect,
        error_messages={
            "required": gettext_lazy("Choose what is known of the seals"),
            "invalid_choice": gettext_lazy("Choose what is known of the seals"),
        },
    )
    seal_low = share(gettext_lazy("Low end (5 %)"))
    seal_middle = share(gettext_lazy("Middle (50 %)"))
    seal_high = share(gettext_lazy("High end (95 %)"))
    seal_source = WordField(
        label=gettext_lazy("Where these three come from"), longest=300, required=False,
        help_text=gettext_lazy("For example “leak test of 3 May 2026, report 17”; it stands in the record"),
    )  # fmt: skip

    def __init__(self, *args, tables, known=None, typed=None, **kwargs):
        self.tables = tables
        self.own = {**own_media([tables]), **(known or {})}
        initial = _initial(tables) | {name: typed[name] for name in typed or ()}
        super().__init__(*args, initial=initial, **kwargs)
        self.fields["seal"].choices = seal_choices()
        choices = media_choices(self.own)
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

        for n in range(1, BEDS + 1):  # the frame round the three names the bed
            for part, label in (
                ("medium", _("Medium")),
                ("mass", _("Mass, in kg")),
                ("area", _("Face area, in m²")),
            ):
                self.fields[f"{part}_{n}"].label = label

    def beds(self):
        """The fields of each bed, for the page."""
        return [(n, [self[f"{part}_{n}"] for part in ("medium", "mass", "area")]) for n in range(1, BEDS + 1)]

    def shown_beds(self):
        """Those in use and an empty one after them."""
        return self.beds()[: self._last() + 1]

    def further_beds(self):
        return self.beds()[self._last() + 1 :]

    def _last(self) -> int:
        used = [n for n, fields in self.beds() if any(part.value() or part.errors for part in fields)]
        return max(used, default=0)

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
        self._ask_for_seal(given)
        if not self.errors:
            given["tables"] = self._tables(given, beds)
        return given

    def _ask_for_seal(self, given: dict[str, Any]) -> None:
        """The interval and its source, all four, where the user states the by-pass."""
        if given.get("seal") != "own":
            return
        for name, message in (
            ("seal_low", _("Enter the low end of the by-pass")),
            ("seal_middle", _("Enter the middle of the by-pass")),
            ("seal_high", _("Enter the high end of the by-pass")),
            ("seal_source", _("Enter where the by-pass comes from")),
        ):
            if given.get(name) in (None, "") and name not in self.errors:
                self.add_error(name, message)
        ends = [given.get(name) for name in ("seal_low", "seal_middle", "seal_high")]
        if None not in ends and ends != sorted(ends):
            self.add_error("seal_low", _("Low end, middle and high end must not fall in this order"))

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
        for name in ("seal_bypass", "seal_bypass_source"):
            tables["filters"].pop(name, None)
        if given["seal"] == "own":
            ends = ("seal_low", "seal_middle", "seal_high")
            tables["filters"]["seal_bypass"] = [given[name] / 100 for name in ends]
            tables["filters"]["seal_bypass_source"] = given["seal_source"]
        used = {bed["medium"]: self.own[bed["medium"]] for bed in beds if bed["medium"] in self.own}
        tables.pop("medium", None)
        if used:
            tables["medium"] = list(used.values())
        tables["filters"]["bed"] = [
            bed | {"medium": used[bed["medium"]]["name"]} if bed["medium"] in used else bed for bed in beds
        ]
        try:
            cabinet_of(tables)
        except InputError as error:
            for problem in error.problems:
                self.add_error(PLACES.get(problem.column), f"{problem.what}. {problem.mend}")
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
    initial["seal"] = "own" if "seal_bypass" in filters else "usual"
    if "seal_bypass" in filters:
        for name, value in zip(("low", "middle", "high"), filters["seal_bypass"], strict=True):
            initial[f"seal_{name}"] = round(100 * value, 9)
        initial["seal_source"] = filters.get("seal_bypass_source", "")
    own = {table["name"]: key_of(table) for table in tables.get("medium", [])}
    for n, bed in enumerate(filters.get("bed", []), 1):
        medium = own.get(bed["medium"], bed["medium"])
        initial |= {f"medium_{n}": medium, f"mass_{n}": bed["mass_kg"], f"area_{n}": bed["area_m2"]}
    return initial
