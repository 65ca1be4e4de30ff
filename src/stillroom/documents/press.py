"""Typst, shut in: own templates, own typeface, data as JSON; archival (PDF/A-2a) and accessible (PDF/UA-1) bytes out."""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping
from functools import cache
from importlib import resources
from typing import Any

from stillroom.errors import StillroomError

__all__ = ["press"]


@cache
def _fonts() -> Any:
    import typst

    folder = resources.files("stillroom.documents") / "fonts"
    with resources.as_file(folder) as path:
        return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(path)])


def press(template: str, data: Mapping[str, Any], *, date: str) -> bytes:
    """The PDF of a template and its data.

    Parameters
    ----------
    template : str
        file in ``documents/templates``
    data : Mapping
        handed over as JSON; no part of it is ever read as Typst source
    date : str
        ISO date that the file carries: an argument, so that equal input gives equal bytes

    Raises
    ------
    StillroomError
        The template could not be set.
    """
    import typst

    moment = datetime.datetime.combine(datetime.date.fromisoformat(date), datetime.time(), datetime.UTC)
    folder = resources.files("stillroom.documents") / "templates"
    with resources.as_file(folder) as root:
        try:
            return bytes(
                typst.compile(
                    str(root / template),
                    root=str(root),
                    font_paths=_fonts(),
                    sys_inputs={"data": json.dumps(data, ensure_ascii=False, allow_nan=False)},
                    pdf_standards=["ua-1", "a-2a"],
                    timestamp=int(moment.timestamp()),
                )
            )
        except typst.TypstError as fault:
            hints = " ".join(getattr(fault, "hints", []) or [])
            raise StillroomError(
                f"{template} could not be set: {fault} {hints}. Report this as a bug."
            ) from fault
