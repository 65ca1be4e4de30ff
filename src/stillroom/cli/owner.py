"""The organisation that a command names."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stillroom.errors import InputError, Problem

if TYPE_CHECKING:
    from stillroom.records.models import Organisation

__all__ = ["owner"]


def owner(name_or_key: str) -> Organisation | None:
    """The organisation of that name or key; None, for all of them, where nothing is named.

    Raises
    ------
    InputError
        There is no such organisation; the message names those that exist.
    """
    from stillroom.records.models import Organisation

    if not name_or_key:
        return None
    every = {row.key: row for row in Organisation.objects.all()}
    named = {row.name: row for row in every.values()}
    found: Organisation | None = named.get(name_or_key) or every.get(name_or_key)
    if found is None:
        mend = f"Choose among {', '.join(sorted(named))}."
        raise InputError(Problem("there is no such organisation", mend, found=name_or_key))
    return found
