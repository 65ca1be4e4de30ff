"""The keys of an installation: which there are, and another one to sign from now on."""

from __future__ import annotations

from typing import NamedTuple

from stillroom.records import keys, trail
from stillroom.records.models import Checkpoint, Review, Validation

__all__ = ["Listed", "listed", "rotate"]


class Listed(NamedTuple):
    """A key by its id, and how many of each kind it signed [-]."""

    id: str
    signs_now: bool
    validations: int
    reviews: int
    checkpoints: int


def listed() -> list[Listed]:
    """Every key, oldest first."""
    own = keys.own_key().id
    kinds = (Validation, Review, Checkpoint)
    return [
        Listed(key, key == own, *(kind.objects.filter(key_id=key).count() for kind in kinds))
        for key in keys.public_keys()
    ]


def rotate(reason: str) -> tuple[str, str]:
    """Have a new key sign from now on; the trail says so first.

    Parameters
    ----------
    reason : str
        Why; never empty.

    Returns
    -------
    old, new : str
        Ids of the key that signed until now, and of the one that signs from now on.

    Notes
    -----
    Public half, event, private half, in this order: cut off at any point, whatever was signed can be verified, and no key
    signs that the trail does not know. Called again, it makes another key.
    """
    old, new = keys.own_key().id, keys.Key.new()
    keys.publish(new)
    with trail.writing(None, "stillroom keys", reason=reason) as write:
        write.say("key.rotated", f"key:{new.id}", signs_now=new.id, signed_before=old)
    keys.replace_own(new)
    return old, new.id
