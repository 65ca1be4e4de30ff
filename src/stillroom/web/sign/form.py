"""Signing: for which cabinet, what it means, and the password again."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.records.models import Validation
from stillroom.web.first.form import PasswordField
from stillroom.web.shared.fields import Form, TextField, WordField

__all__ = ["NEW", "Components", "SignForm"]

NEW = "new"
MEANINGS = {
    str(Validation.Meaning.APPROVED): gettext_lazy("Approved, and I answer for it"),
    str(Validation.Meaning.REFUSED): gettext_lazy("Refused"),
}


class Components(Form):
    """User name and password; after a first signature in the same session the password alone."""

    username = WordField(
        label=gettext_lazy("Your user name"), longest=150, code=True, enter=gettext_lazy("Enter your user name"),
        help_text=gettext_lazy("Asked for once a session"), autocomplete="username",
    )  # fmt: skip
    password = PasswordField(
        label=gettext_lazy("Your password"), enter=gettext_lazy("Enter your password again"),
        autocomplete="current-password",
    )  # fmt: skip

    def __init__(self, *args, continued: bool, **kwargs):
        super().__init__(*args, **kwargs)
        if continued:
            del self.fields["username"]


class SignForm(Components):
    cabinet = forms.ChoiceField(
        label=gettext_lazy("For which cabinet"),
        widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Choose the cabinet that this is for")},
    )
    name = WordField(label=gettext_lazy("Name of a new cabinet"), longest=200, optional=True)
    meaning = forms.ChoiceField(
        label=gettext_lazy("My signature means"),
        widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Choose what your signature means")},
    )
    reason = TextField(label=gettext_lazy("Why it is refused"), rows=2, longest=1000, optional=True)

    def __init__(self, *args, cabinets, meanings, asks_reason: bool, **kwargs):
        super().__init__(*args, **kwargs)
        for name in ("username", "password"):  # last
            if name in self.fields:
                self.fields[name] = self.fields.pop(name)
        self.fields["cabinet"].choices = [
            *((row.key, str(row)) for row in cabinets),
            (NEW, _("Another one, named below")),
        ]
        self.fields["meaning"].choices = [(name, MEANINGS[name]) for name in meanings]
        if len(meanings) == 1:
            self.initial["meaning"] = meanings[0]
        if not cabinets:
            self.initial["cabinet"] = NEW
            self.fields["name"] = WordField(
                label=_("Name of the new cabinet"), longest=200, enter=_("Enter a name for the new cabinet")
            )
        if not asks_reason:
            del self.fields["reason"]

    def clean(self):
        given = super().clean()
        if given.get("cabinet") == NEW and not given.get("name") and "name" not in self.errors:
            self.add_error("name", _("Enter a name for the new cabinet"))
        refuses = given.get("meaning") == str(Validation.Meaning.REFUSED)
        if refuses and "reason" in self.fields and not (given.get("reason") or "").strip():
            self.add_error("reason", _("Say why it is refused; the papers carry it"))
        return given
