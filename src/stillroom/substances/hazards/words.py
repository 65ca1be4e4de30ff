"""Refusals known only by words: cylinders, radioactive, infectious, unlabelled."""

from __future__ import annotations

import re
from functools import cache

from stillroom.substances.hazards.tables import sidecar

__all__ = ["refused_by_words"]


@cache
def _patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    return tuple(
        (reason, re.compile("|".join(patterns), re.IGNORECASE))
        for reason, patterns in sidecar("words")["refused"].items()
    )


def refused_by_words(text: str) -> str | None:
    """Why what is written in a row refuses it, or None where nothing written does.

    None is no permission: the substance's own hazards decide then.

    Examples
    --------
    >>> refused_by_words("Perchloric acid, 60 %")
    'perchloric acid (“Perchloric acid”)'
    >>> refused_by_words("Acetone, HPLC grade") is None
    True
    """
    for reason, pattern in _patterns():
        found = pattern.search(text)
        if found:
            return f"{reason} (“{found[0].strip()}”)"
    return None
