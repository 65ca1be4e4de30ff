"""The sign-in form."""

from django.contrib.auth.forms import AuthenticationForm
from django.utils.translation import gettext_lazy as _

from stillroom.web.shared.fields import Form


class SignInForm(AuthenticationForm):
    """Django's, with our messages."""

    use_required_attribute = False
    summary = Form.summary
    error_messages = {
        "invalid_login": _("User name and password do not match. Both are case-sensitive"),
        "inactive": _("This account is switched off. Ask an owner of your organisation"),
    }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["username"].label = _("User name")
        self.fields["username"].error_messages["required"] = _("Enter your user name")
        self.fields["username"].widget.attrs.pop("autofocus", None)
        self.fields["username"].widget.attrs.update({"spellcheck": "false", "maxlength": None})
        self.fields["password"].error_messages["required"] = _("Enter your password")
