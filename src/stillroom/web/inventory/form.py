"""An inventory as a file or as a pasted table."""

from __future__ import annotations

import io
import zipfile

from django import forms
from django.conf import settings
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.errors import InputError
from stillroom.web.shared import core
from stillroom.web.shared.fields import Form, TextField

__all__ = ["InventoryForm", "looks_like"]

_LARGEST_UNPACKED = 50_000_000


def looks_like(name: str, content: bytes) -> str:
    """What speaks against the file, or an empty text: its ending and its first bytes must agree."""
    ending = name.lower().rsplit(".", 1)[-1] if "." in name else ""
    if ending not in ("csv", "tsv", "txt", "xlsx"):
        return _("The file must be a CSV or an XLSX. Save it as one of these")
    if not content.strip():
        return _("The file is empty. Choose the one with the inventory")
    if len(content) > settings.LARGEST_FILE:
        return _("The file must be 5 MB or less. Send the inventory alone")
    if ending != "xlsx":
        return ""
    if content[:8] == b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1":
        return _(
            "The workbook is protected by a password or in the old XLS form. Save it as XLSX without a password"
        )
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            size = sum(entry.file_size for entry in archive.infolist())
    except zipfile.BadZipFile:
        return _("The file ends in .xlsx but is no workbook. Save it again from the spreadsheet")
    return (
        _("The workbook is too large when unpacked. Send the inventory alone")
        if size > _LARGEST_UNPACKED
        else ""
    )


class InventoryForm(Form):
    file = forms.FileField(
        label=gettext_lazy("A file"),
        required=False,
        allow_empty_file=True,
        help_text=gettext_lazy("CSV or XLSX, 5 MB at most"),
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx"}),
        error_messages={"invalid": gettext_lazy("The file could not be received. Choose it again")},
    )
    pasted = TextField(
        label=gettext_lazy("Or a table, pasted from a spreadsheet"),
        rows=12,
        required=False,
        help_text=gettext_lazy("With its line of headings"),
    )

    def clean_file(self):
        given = self.cleaned_data["file"]
        if given is None:
            return None
        content = given.read()
        fault = looks_like(given.name, content)
        if fault:
            raise forms.ValidationError(fault)
        return given.name, content

    def clean(self):
        given = super().clean()
        if self.errors:
            return given
        file, pasted = given.get("file"), given.get("pasted", "")
        if file and pasted.strip():
            raise forms.ValidationError(_("Choose a file or paste a table, not both"))
        if not file and not pasted.strip():
            self.add_error("file", _("Choose a file, or paste a table below"))
            return given
        name, content = file or ("pasted table.tsv", pasted.encode("utf-8"))
        given["name"], given["content"] = name, content
        try:
            core.read_inventory(content, name)
        except InputError as error:
            given["problems"] = error.problems
        return given
