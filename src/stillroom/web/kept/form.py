"""What is written on a cabinet."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from stillroom.records.models import Cabinet
from stillroom.web.shared.fields import Form, WordField
from stillroom.web.shared.when import DateField

__all__ = ["CabinetForm"]

FIELDS = ("name", "serial", "site", "room", "place", "commissioned", "retired")


class CabinetForm(Form):
    name = WordField(label=_("Name"), longest=200, enter=_("Enter a name, such as Cabinet 3"))
    serial = WordField(label=_("Serial number"), longest=100, optional=True, code=True)
    site = WordField(label=_("Site"), longest=200, optional=True)
    room = WordField(label=_("Room"), longest=200, optional=True)
    place = WordField(label=_("Place in the room"), longest=200, optional=True)
    commissioned = DateField(label=_("In use since"), optional=True)
    retired = DateField(label=_("Out of use since"), optional=True)

    def __init__(self, *args, cabinet: Cabinet | None, **kwargs):
        initial = {name: getattr(cabinet, name) for name in FIELDS} if cabinet else {}
        super().__init__(*args, initial=initial, **kwargs)

    def values(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in FIELDS}
