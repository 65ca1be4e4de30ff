"""The assessment's name can be changed up to the last page."""

from django.utils.translation import gettext_lazy as _

from stillroom.web.shared.fields import Form, WordField


class TitleForm(Form):
    title = WordField(label=_("Name of this assessment"), enter=_("Enter a name"))
