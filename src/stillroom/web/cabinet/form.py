"""Which cabinet: a shipped design, one used before, or a file."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.cabinet.load import shipped, shipped_tables
from stillroom.errors import InputError
from stillroom.units.files import parse_toml
from stillroom.web.shared.core import cabinet_of
from stillroom.web.shared.fields import Form

__all__ = ["CabinetForm"]


def words(tables) -> str:
    """A cabinet in one line: its name and what tells it from others."""
    cabinet = tables["cabinet"]
    shelves = sum(len(part["shelf"]) for part in tables["compartment"])
    carbon = sum(bed["mass_kg"] for bed in tables["filters"].get("bed", []))
    return _("%(name)s: %(flow)g m³/h, %(shelves)d shelves, %(carbon)g kg of medium") % {
        "name": cabinet["name"],
        "flow": cabinet["flow_m3_h"],
        "shelves": shelves,
        "carbon": carbon,
    }


class CabinetForm(Form):
    choice = forms.ChoiceField(
        label=gettext_lazy("Design"),
        widget=forms.RadioSelect,
        error_messages={
            "required": gettext_lazy("Choose a cabinet"),
            "invalid_choice": gettext_lazy("Choose one of the cabinets"),
        },
    )
    file = forms.FileField(
        label=gettext_lazy("Cabinet file"),
        required=False,
        allow_empty_file=True,
        help_text=gettext_lazy(
            "TOML, for “a file of my own” only; media of your own are added on the next page"
        ),
        widget=forms.FileInput(attrs={"accept": ".toml"}),
        error_messages={"invalid": gettext_lazy("The file could not be received. Choose it again")},
    )

    def __init__(self, *args, known, chosen=None, **kwargs):
        super().__init__(*args, **kwargs)
        self.known = {f"stored-{row.pk}": row.tables for row in known}
        present = [("present", _("As it is now: %(words)s") % {"words": words(chosen)})] if chosen else []
        self.known |= {"present": chosen} if chosen else {}
        self.known |= {name: shipped_tables(name) for name in shipped()}
        self.fields["choice"].choices = [
            *present,
            *((name, words(shipped_tables(name))) for name in shipped()),
            *((f"stored-{row.pk}", _("%(words)s, version %(n)d") % {"words": words(row.tables), "n": row.version})
              for row in known),
            ("file", _("A file of my own")),
        ]  # fmt: skip

    def clean(self):
        given = super().clean()
        choice = given.get("choice")
        if choice == "file":
            given["tables"] = self._from_file(given.get("file"))
        elif choice:
            given["tables"] = self.known[choice]
        return given

    def _from_file(self, file):
        if file is None:
            self.add_error("file", _("Choose the cabinet's TOML file"))
            return None
        content = file.read(1_000_001)
        try:
            tables = parse_toml(content, file_name=file.name)
            cabinet_of(tables)
        except InputError as error:
            self.add_problems(error, field="file")
            return None
        return tables
