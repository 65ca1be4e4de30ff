"""Change of the own password."""

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.web.first.form import PasswordField
from stillroom.web.shared.fields import Form


class PasswordForm(Form):
    old = PasswordField(
        label=gettext_lazy("Present password"), enter=gettext_lazy("Enter your present password"),
        autocomplete="current-password",
    )  # fmt: skip
    new = PasswordField(
        label=gettext_lazy("New password"), enter=gettext_lazy("Enter a new password"),
        help_text=gettext_lazy("12 characters or more; a password manager's is best"),
    )  # fmt: skip

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        self.user = user

    def clean_old(self):
        if not self.user.check_password(self.cleaned_data["old"]):
            raise ValidationError(_("Present password does not match"))
        return self.cleaned_data["old"]

    def clean_new(self):
        validate_password(self.cleaned_data["new"], self.user)
        return self.cleaned_data["new"]
