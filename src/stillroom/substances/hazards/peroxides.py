"""Peroxide formers and how long an opened bottle may stand."""

from __future__ import annotations

from stillroom.substances.hazards.tables import by_cas

__all__ = ["peroxide_note"]


def peroxide_note(cas: str) -> str:
    """What the label and record say of a peroxide former; empty where the substance is not listed.

    Notes
    -----
    Periods after opening as in [cornell-appendix-j]; unopened bottles 18 months there.
    """
    row = by_cas("peroxide_formers").get(cas)
    if not row:
        return ""
    months = row["months_after_opening"]
    kind = {
        "A": "its peroxides explode without being concentrated",
        "B": "its peroxides explode when it is concentrated",
        "C": "its peroxides start a violent polymerisation",
        "D": "its peroxides may explode",
    }[row["class"]]
    more = f" {row['note']}." if row["note"] else ""
    return (
        f"Forms peroxides with air ({kind}): write the dates of receipt and opening on the bottle; "
        f"{months} months after opening test it or dispose of it, unopened after 18 months.{more}"
    )
