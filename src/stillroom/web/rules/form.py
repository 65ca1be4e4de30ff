"""The site's rules; each begins at its default, which the page names."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from django.utils.translation import gettext_lazy as _

from stillroom.room.model import SiteRules
from stillroom.web.shared.fields import Form, NumberField, SubstanceField, YesNoField

__all__ = ["RulesForm"]

DAYS, PERCENT, MINUTES, HOURS, LITRES = _("days"), "%", _("minutes"), _("hours"), "L"
PERCENTS = ("criterion_fraction", "lfl_fraction", "visit_fraction_of_life", "saturation_fraction")


class RulesForm(Form):
    cleanup_minutes = NumberField(
        label=_("A spill is cleaned up within"), unit=MINUTES, unit_words=_("in minutes"), low=1, high=1440
    )
    response_minutes = NumberField(
        label=_("After a break, somebody acts at the cabinet within"), unit=MINUTES, unit_words=_("in minutes"), low=0.1,
        high=1440, optional=True, help_text=_("Left empty: a third of the time for cleaning up"),
    )  # fmt: skip
    fan_stop_hours = NumberField(
        label=_("Longest stop of the fan to be survived"),
        unit=HOURS,
        unit_words=_("in hours"),
        low=0,
        high=168,
    )
    required_interval_days = NumberField(
        label=_("The filter is to last at least"), unit=DAYS, unit_words=_("in days"), low=1, high=3650,
        help_text=_("The largest admissible containers are computed for this time"),
    )  # fmt: skip
    criterion_fraction = NumberField(
        label=_("Exhaust in normal storage, part of a limit"), unit=PERCENT, unit_words=_("in per cent"), low=0.001,
        high=10, help_text=_("1 % is common practice"),
    )  # fmt: skip
    spill_criterion_too = YesNoField(label=_("Must the exhaust keep to that in a spill as well?"))
    excursion_factor = NumberField(
        label=_("15-minute value where none is published: times the 8-hour limit"), low=1, high=5,
        help_text=_("3 is common practice"),
    )  # fmt: skip
    lfl_fraction = NumberField(
        label=_("Cabinet's air, part of the lower flammable limit"), unit=PERCENT, unit_words=_("in per cent"),
        low=0.1, high=25, help_text=_("25 % at most"),
    )  # fmt: skip
    flammables_litre_category_1 = NumberField(
        label=_("Flammable liquids of category 1, at most"), unit=LITRES, unit_words=_("in litres"), low=0.001,
        high=10_000, optional=True, help_text=_("Left empty: the table of 29 CFR 1910.106(d)(3)"),
    )  # fmt: skip
    flammables_litre_total = NumberField(
        label=_("Flammable liquids in all, at most"), unit=LITRES, unit_words=_("in litres"), low=0.001, high=10_000,
        optional=True, help_text=_("Left empty: the table of 29 CFR 1910.106(d)(3)"),
    )  # fmt: skip
    visit_fraction_of_life = NumberField(
        label=_("Next visit after this part of the cautious life"), unit=PERCENT, unit_words=_("in per cent"), low=1,
        high=100,
    )  # fmt: skip
    visit_longest_days = NumberField(
        label=_("Longest time between visits"), unit=DAYS, unit_words=_("in days"), low=1, high=3650
    )
    saturation_fraction = NumberField(
        label=_("The marker vapour counts as through at this part of the inlet"), unit=PERCENT,
        unit_words=_("in per cent"), low=1, high=100,
    )  # fmt: skip
    marker_cas = SubstanceField(
        label=_("Marker vapour"), optional=True,
        help_text=_("Left empty: the most weakly held of those that need the filter"),
    )  # fmt: skip

    def __init__(self, *args, tables: dict[str, Any], **kwargs):
        self.tables = tables
        super().__init__(*args, initial=_initial(tables.get("rules", {})), **kwargs)

    def clean(self):
        given = super().clean()
        if self.errors:
            return given
        response = given["response_minutes"]
        if response is not None and response > given["cleanup_minutes"]:
            self.add_error("response_minutes", _("It must not be longer than the time for cleaning up"))
            return given
        rules = {}
        for field in fields(SiteRules):
            value = given[field.name]
            if field.name in PERCENTS:
                value = value / 100
            if field.name == "marker_cas":
                value = value.cas if value else ""
            if value is not None:
                rules[field.name] = value
        given["tables"] = {**self.tables, "rules": rules}
        return given


def _initial(rules: dict[str, Any]) -> dict[str, Any]:
    default = SiteRules()
    values = {field.name: rules.get(field.name, getattr(default, field.name)) for field in fields(SiteRules)}
    return values | {name: round(100 * values[name], 9) for name in PERCENTS}
