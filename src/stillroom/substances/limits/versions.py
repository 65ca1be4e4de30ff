"""Which edition of each list is at hand, for the record."""

from __future__ import annotations

from stillroom.substances.limits import ontario, own
from stillroom.substances.limits.model import LimitList
from stillroom.substances.limits.tables import digest, lists

__all__ = ["versions"]


def versions() -> dict[str, str]:
    """Edition and first twelve digits of the data file's SHA-256, by key of the list."""
    found = {item.key: f"{item.edition}, sha256 {_digest(item)}" for item in lists()}
    return found | {"groups": f"groups of compounds, sha256 {digest('groups.csv')}"}


def _digest(item: LimitList) -> str:
    if item.own:
        return own.digest(item.key)
    return digest(item.file) if item.file else ontario.digest()
