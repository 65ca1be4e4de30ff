"""Media of the organisation's own: read from a file, kept inside the cabinet's tables, offered again later."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.errors import InputError
from stillroom.records.store import digest
from stillroom.units.files import parse_toml
from stillroom.web.shared.fields import Form

__all__ = ["MediumForm", "key_of", "own_media", "with_medium"]

LARGEST = 100_000
Tables = dict[str, Any]


def key_of(table: Mapping[str, Any]) -> str:
    """What tells a medium from every other in the page's lists: the digest of its whole content."""
    return f"own-{digest(table)[:12]}"


def own_media(cabinets: Iterable[Mapping[str, Any]]) -> dict[str, Tables]:
    """The media that these cabinets describe themselves, each once."""
    return {key_of(table): table for cabinet in cabinets for table in cabinet.get("medium", [])}


def with_medium(cabinet: Tables, table: Tables) -> Tables:
    """The cabinet's tables with this medium; an earlier one of the same name makes room."""
    others = [old for old in cabinet.get("medium", []) if old["name"] != table["name"]]
    return {**cabinet, "medium": [*others, table]}


class MediumForm(Form):
    """A MEDIUM file, read as strictly as on the command line."""

    medium_file = forms.FileField(
        label=gettext_lazy("Medium file"),
        required=False,
        allow_empty_file=True,
        help_text=gettext_lazy("TOML, as “stillroom media fit” writes it"),
        widget=forms.FileInput(attrs={"accept": ".toml"}),
        error_messages={"invalid": gettext_lazy("The file could not be received. Choose it again")},
    )

    def clean(self):
        from stillroom import media
        from stillroom.media.schema import check

        given = super().clean()
        if self.errors:
            return given
        file = given.get("medium_file")
        if file is None:
            self.add_error("medium_file", _("Choose the medium's TOML file"))
            return given
        content = file.read(LARGEST + 1)
        if len(content) > LARGEST:
            self.add_error(
                "medium_file", _("The medium's file must be 100 kB or less. Is it the right file?")
            )
            return given
        try:
            table = parse_toml(content, file_name=file.name)
            medium = check(table, file=file.name)
        except InputError as error:
            self.add_problems(error, field="medium_file")
            return given
        if medium.name in media.names():
            self.add_error(
                "medium_file",
                _("“%(name)s” is the name of a shipped medium. Give yours a name of its own in the file")
                % {"name": medium.name},
            )
            return given
        given["table"], given["medium"] = table, medium
        return given
