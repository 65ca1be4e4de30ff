"""An instrument: what its manual says of it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from stillroom.records.models import Instrument
from stillroom.services.instruments import KINDS, PID
from stillroom.web.shared.fields import Form, NumberField, SubstanceField, WordField

__all__ = ["InstrumentForm"]

LEAST_ROWS, SPARE_ROWS = 4, 2
LAMPS = ("10", "10.6", "11.7")


class InstrumentForm(Form):
    name = WordField(label=gettext_lazy("Name and serial number"), enter=gettext_lazy("Enter a name"))
    kind = forms.ChoiceField(
        label=gettext_lazy("Kind"),
        widget=forms.RadioSelect,
        choices=[
            (KINDS[0], gettext_lazy("Photoionisation detector")),
            (KINDS[1], gettext_lazy("Electrochemical cell, for one substance")),
            (KINDS[2], gettext_lazy("Colorimetric tube, for one substance")),
            (KINDS[3], gettext_lazy("Another, for one substance")),
        ],
        error_messages={"required": gettext_lazy("Choose a kind")},
    )
    lamp = forms.ChoiceField(
        label=gettext_lazy("Lamp of a photoionisation detector"),
        widget=forms.RadioSelect,
        choices=[("10", "10.0 eV"), ("10.6", "10.6 eV"), ("11.7", "11.7 eV")],
        required=False,
    )
    limit = NumberField(
        label=gettext_lazy("Detection limit"), unit="ppm", unit_words=gettext_lazy("in ppm"), low=1e-6, high=1e4,
        help_text=gettext_lazy("As isobutylene; for one substance, of that substance"),
    )  # fmt: skip

    def __init__(self, *args, instrument: Instrument | None, **kwargs):
        super().__init__(*args, initial=_initial(instrument), **kwargs)
        known = len(instrument.response_factors) if instrument else 0
        self.rows = max(LEAST_ROWS, known + SPARE_ROWS)
        for n in range(1, self.rows + 1):
            self.fields[f"substance_{n}"] = SubstanceField(label=_("Substance %d") % n, required=False)
            self.fields[f"factor_{n}"] = NumberField(
                label=_("Factor %d") % n, low=1e-3, high=1e3, required=False
            )
            self.fields[f"source_{n}"] = WordField(label=_("Source %d") % n, required=False)
        for n in range(1, self.rows + 1):  # the frame round the three names the row
            self.fields[f"substance_{n}"].label = _("Name or CAS number")
            self.fields[f"factor_{n}"].label = _("Factor")
            self.fields[f"source_{n}"].label = _("Source, with page")

    def factors(self):
        return [
            (n, [self[f"substance_{n}"], self[f"factor_{n}"], self[f"source_{n}"]])
            for n in range(1, self.rows + 1)
        ]

    def clean(self):
        given = super().clean()
        rows: dict[str, dict[str, Any]] = {}
        for n in range(1, self.rows + 1):
            substance, factor, source = (
                given.get(f"{part}_{n}") for part in ("substance", "factor", "source")
            )
            if not (substance or factor is not None or source):
                continue
            for part, value, words in (
                ("substance", substance, _("Enter the substance of row %d")),
                ("factor", factor, _("Enter the factor of row %d")),
                ("source", source, _("Enter where the factor of row %d comes from")),
            ):
                if value in (None, "") and f"{part}_{n}" not in self.errors:
                    self.add_error(f"{part}_{n}", words % n)
            if substance and substance.cas in rows:
                self.add_error(f"substance_{n}", _("Row %d names a substance a second time") % n)
            elif substance:
                rows[substance.cas] = {
                    "cas": substance.cas,
                    "name": substance.name,
                    "factor": factor,
                    "source": source,
                }
        one = given.get("kind") not in (None, PID)
        if given.get("kind") == PID and not given.get("lamp"):
            self.add_error("lamp", _("Choose the lamp"))
        if one and len(rows) != 1 and not self.errors:
            self.add_error("substance_1", _("Enter the one substance that it answers to, with the factor 1"))
        given["factors"] = list(rows.values())
        return given

    def values(self) -> dict[str, Any]:
        given = self.cleaned_data
        pid = given["kind"] == PID
        return {
            "name": given["name"],
            "kind": given["kind"],
            "lamp_eV": float(given["lamp"]) if pid else None,
            "detection_limit_ppm": given["limit"],
            "response_factors": given["factors"],
        }


def _initial(instrument: Instrument | None) -> dict[str, Any]:
    if instrument is None:
        return {"kind": PID, "lamp": "10.6"}
    initial: dict[str, Any] = {
        "name": instrument.name,
        "kind": instrument.kind,
        "lamp": f"{instrument.lamp_eV:g}" if instrument.lamp_eV else "",
        "limit": instrument.detection_limit_ppm,
    }
    for n, row in enumerate(instrument.response_factors, 1):
        initial |= {
            f"substance_{n}": row["cas"],
            f"factor_{n}": row["factor"],
            f"source_{n}": row["source"],
        }
    return initial
