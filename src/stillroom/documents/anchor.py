"""What ties a paper to the trail."""

from __future__ import annotations

from collections.abc import Mapping

from stillroom.documents.words import Words

__all__ = ["anchor"]


def anchor(signature: Mapping[str, str] | None, words: Words) -> str:
    """Number of the validation, and where the trail stood when it was signed: a paper that carries it is a witness."""
    if not signature or "trail_head" not in signature:
        return ""
    return words["anchor"].format(
        validation=signature.get("validation", ""),
        event=signature["trail_event"],
        head=signature["trail_head"],
    )
