"""Which lists of exposure limits hold here, and in which order."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.substances.limits import lists
from stillroom.web.shared.fields import Form

__all__ = ["LimitsForm"]


class LimitsForm(Form):
    ordering = forms.ChoiceField(
        label=gettext_lazy("Where several lists have a limit"),
        widget=forms.RadioSelect,
        choices=[
            ("strictest", gettext_lazy("the strictest holds")),
            ("first", gettext_lazy("the first list that has one holds")),
        ],
        error_messages={
            "required": gettext_lazy("Choose which of several limits holds"),
            "invalid_choice": gettext_lazy("Choose which of several limits holds"),
        },
    )

    def __init__(self, *args, tables: dict[str, Any], **kwargs):
        chosen = tables.get("limits", {})
        places = {key: str(n) for n, key in enumerate(chosen.get("lists", []), 1)}
        super().__init__(*args, initial={"ordering": chosen.get("ordering", "strictest")} | places, **kwargs)
        self.tables = tables
        self.lists = lists()
        positions = [("", _("not used")), *((str(n), str(n)) for n in range(1, len(self.lists) + 1))]
        for item in self.lists:
            self.fields[item.key] = forms.ChoiceField(
                label=f"{item.title}, {item.edition}",
                choices=positions,
                required=False,
                help_text=item.jurisdiction,
                error_messages={"invalid_choice": _("Choose a place in the order")},
            )

    def list_fields(self):
        return [self[item.key] for item in self.lists]

    def clean(self):
        given = super().clean()
        places = {item.key: int(given[item.key]) for item in self.lists if given.get(item.key)}
        if not places and not self.errors:
            self.add_error(self.lists[0].key, _("Choose at least one list: give it the place 1"))
        for key, place in places.items():
            if list(places.values()).count(place) > 1:
                self.add_error(key, _("Two lists have the place %d. Give each its own") % place)
        ordered = sorted(places, key=lambda key: places[key])
        if not self.errors:
            given["tables"] = {**self.tables, "limits": {"lists": ordered, "ordering": given["ordering"]}}
        return given
