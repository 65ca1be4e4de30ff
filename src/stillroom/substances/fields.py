"""Fields of users' files that name a substance, checked as they are read. Imports pydantic: import where files are read."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator

from stillroom.substances.identity import check_digit

__all__ = ["Cas", "cas_number"]


def cas_number(written: str) -> str:
    """The CAS number as written.

    Raises
    ------
    ValueError
        Its check digit does not fit.
    """
    if not check_digit(written):
        raise ValueError("is no CAS number: its check digit does not fit")
    return written


Cas = Annotated[str, AfterValidator(cas_number)]
"""A CAS number whose check digit fits."""
