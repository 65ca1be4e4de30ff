"""The substance that a word on the command line means."""

from __future__ import annotations

from stillroom.errors import CannotTell, InputError, Problem
from stillroom.substances import resolve
from stillroom.substances.model import Resolution

__all__ = ["find"]


def find(which: str) -> Resolution:
    """The resolution of a CAS number or a name, with a substance.

    Raises
    ------
    InputError
        The number is wrong in itself.
    CannotTell
        Nothing is known under that name or number; near names are offered.
    """
    is_number = which.replace("-", "").isdigit()
    found = resolve(cas=which if is_number else "", name="" if is_number else which)
    if found.contradiction:
        raise InputError(Problem(found.reason, "Copy the number again from the label.", found=which))
    if found.substance is None:
        near = f" Near names: {', '.join(found.near)}." if found.near else ""
        raise CannotTell(f"“{which}”: {found.reason}.{near}")
    return found
