"""The retention listing on A4: what the layers of a medium hold of each substance, at stated conditions."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from stillroom.documents.figures import number
from stillroom.documents.press import press
from stillroom.documents.text import printable
from stillroom.documents.words import words_of

__all__ = ["listing_pdf"]

_ENGLISH = {
    "sheet": "Retention listing",
    "substance": "Substance",
    "first": "First layer, g",
    "second": "Second, g",
    "range": "5 to 95 %",
    "hours": "Hours",
    "end": "Ends at",
    "caution": "A comparison of media, no service life: a cabinet’s air holds far less of many vapours at once, and less is held of each. Whether a substance "
    "may be kept is decided by an assessment. Local codes and the manufacturer’s tests prevail.",
    "how": "Estimated from the medium’s pores and each vapour’s polarisability unless marked *, which rests on a published capacity of the impregnation.",
}


def listing_pdf(found: Mapping[str, Any], *, date: str, language: str = "en") -> bytes:
    """The listing as PDF (A4 upright; PDF/A-2a and PDF/UA-1).

    Parameters
    ----------
    found : Mapping
        As `services.capacity` gives it.
    date : str
        ISO date.
    language : str
        Of the words.
    """
    words = dict(words_of(language)) | _ENGLISH
    view = printable(
        {
            "date": [int(part) for part in date.split("-")],
            "medium": found["medium"],
            "layers": found["layers"],
            "conditions": found["conditions"]["words"],
            "rows": [_row(item) for item in found["substances"]],
        }
    )
    view["words"] = words
    return press("listing.typ", view, date=date)


def _row(item: Mapping[str, Any]) -> list[str]:
    second = item["second_layer_g"]
    return [
        item["name"] + (" *" if item["origin"] != "estimated" else ""),
        item["cas"] + (f" · {item['remark']}" if item["remark"] else ""),
        _grams(item["first_layer_g"]),
        f"{_grams(item['p05'])} – {_grams(item['p95'])}",
        "" if second is None else _grams(second),
        _hours(item["hours"]),
        item["end_basis"],
    ]


def _grams(value: float) -> str:
    return "<\u202f1" if value < 1.0 else number(value)


def _hours(value: float) -> str:
    return "<\u202f0.1" if value < 0.1 else number(value)
