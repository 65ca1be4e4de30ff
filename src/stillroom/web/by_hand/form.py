"""A limit typed by the user; one far from every known list asks for a second look."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.errors import InputError
from stillroom.substances.limits import NeedsConfirmation, by_hand
from stillroom.web.shared.fields import Form, NumberField, SubstanceField, WordField

__all__ = ["ByHandForm"]


class ByHandForm(Form):
    substance = SubstanceField(
        label=gettext_lazy("Substance"), enter=gettext_lazy("Enter a name or CAS number"),
        help_text=gettext_lazy("Name or CAS number"),
    )  # fmt: skip
    value = NumberField(
        label=gettext_lazy("Limit"), low=1e-12, high=1e6, enter=gettext_lazy("Enter the limit")
    )
    unit = forms.ChoiceField(
        label=gettext_lazy("Unit"),
        widget=forms.RadioSelect,
        choices=[("ppm", "ppm"), ("mg/m3", "mg/m³")],
        error_messages={
            "required": gettext_lazy("Choose a unit"),
            "invalid_choice": gettext_lazy("Choose a unit"),
        },
    )
    basis = forms.ChoiceField(
        label=gettext_lazy("Averaged over"),
        widget=forms.RadioSelect,
        choices=[
            ("TWA", gettext_lazy("8 hours (TWA)")),
            ("STEL", gettext_lazy("15 minutes (STEL)")),
            ("C", gettext_lazy("nothing: a ceiling")),
        ],
        error_messages={
            "required": gettext_lazy("Choose what the limit is averaged over"),
            "invalid_choice": gettext_lazy("Choose what the limit is averaged over"),
        },
    )
    source = WordField(
        label=gettext_lazy("Where it is printed"), longest=300, enter=gettext_lazy("Enter where the limit is printed"),
        help_text=gettext_lazy("For example “safety data sheet of 3 May 2026, section 8”"),
    )  # fmt: skip
    confirmed = forms.BooleanField(
        label=gettext_lazy("I looked again: value and unit are right"), required=False
    )

    asks = ""
    """the question, where the value is far from every known list"""

    def clean_value(self):
        if self.cleaned_data["value"] is not None and self.cleaned_data["value"] <= 0:
            raise forms.ValidationError(_("Limit must be above 0"))
        return self.cleaned_data["value"]

    def clean_source(self):
        if len(self.cleaned_data["source"]) < 3:
            raise forms.ValidationError(_("Where it is printed must be 3 characters or more"))
        return self.cleaned_data["source"]

    def clean(self):
        given = super().clean()
        if self.errors:
            return given
        row = {
            "cas": given["substance"].cas,
            "value": given["value"],
            "unit": given["unit"],
            "basis": given["basis"],
            "source": given["source"],
            "confirmed": given["confirmed"],
        }
        try:
            by_hand(**{key: row[key] for key in ("cas", "value", "unit", "basis", "confirmed")},
                    source_words=row["source"])  # fmt: skip
        except NeedsConfirmation as error:
            problem = error.problems[0]
            self.asks = f"{problem.what[:1].upper()}{problem.what[1:]}. {problem.mend}"
            self.add_error("value", _("Look at value and unit again, or confirm them below"))
        except InputError as error:
            self.add_problems(error)
        given["row"] = row
        return given
