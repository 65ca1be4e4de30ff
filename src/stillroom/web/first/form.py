"""The first user and their organisation."""

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.records.models import User
from stillroom.web.shared.fields import Form, WordField


class PasswordField(forms.CharField):
    """A password: pasted, long, kept as typed."""

    def __init__(self, *, label, enter, autocomplete="new-password", **more):
        super().__init__(
            label=label,
            strip=False,
            widget=forms.PasswordInput(attrs={"autocomplete": autocomplete}),
            error_messages={"required": enter},
            **more,
        )


class FirstForm(Form):
    organisation = WordField(
        label=gettext_lazy("Organisation"), enter=gettext_lazy("Enter the name of your organisation"),
        autocomplete="organization",
    )  # fmt: skip
    full_name = WordField(
        label=gettext_lazy("Your full name"), longest=150, enter=gettext_lazy("Enter your full name"),
        help_text=gettext_lazy("As it is to stand on records"), autocomplete="name",
    )  # fmt: skip
    username = WordField(
        label=gettext_lazy("User name"), longest=150, code=True, enter=gettext_lazy("Enter a user name"),
        help_text=gettext_lazy("Letters, digits and @ . + - _"), autocomplete="username",
    )  # fmt: skip
    password = PasswordField(
        label=gettext_lazy("Password"), enter=gettext_lazy("Enter a password"),
        help_text=gettext_lazy("12 characters or more; a password manager's is best"),
    )  # fmt: skip

    def clean_username(self):
        name = self.cleaned_data["username"]
        try:
            User.username_validator(name)
        except ValidationError:
            raise ValidationError(_("User name can hold letters, digits and @ . + - _ only")) from None
        return name

    def clean(self):
        given = super().clean()
        if given.get("password"):
            user = User(username=given.get("username", ""), full_name=given.get("full_name", ""))
            try:
                validate_password(given["password"], user)
            except ValidationError as error:
                self.add_error("password", error)
        return given
