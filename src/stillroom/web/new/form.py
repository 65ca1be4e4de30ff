"""A new assessment's name."""

from django.utils.translation import gettext_lazy as _

from stillroom.web.shared.fields import Form, WordField


class NewForm(Form):
    title = WordField(
        label=_("Name of this assessment"),
        enter=_("Enter a name"),
        help_text=_("For example the cabinet and its place"),
    )
