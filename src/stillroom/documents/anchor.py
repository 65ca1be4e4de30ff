"""What ties a paper to who signed it, and to the trail."""

from __future__ import annotations

from collections.abc import Mapping

from stillroom.documents.figures import day
from stillroom.documents.words import Words

__all__ = ["anchor", "moment", "reviewed_by", "signed_by"]


def anchor(signature: Mapping[str, str] | None, words: Words) -> str:
    """Number of the validation, and where the trail stood when it was signed: a paper that carries it is a witness."""
    if not signature or "trail_head" not in signature:
        return ""
    return words["anchor"].format(
        validation=signature.get("validation", ""),
        event=signature["trail_event"],
        head=signature["trail_head"],
    )


def moment(time_utc: str, words: Words) -> str:
    """The time of signing to the second, its month in words."""
    return f"{day(time_utc[:10], words)}, {time_utc[11:19]} UTC" if len(time_utc) >= 19 else time_utc


def signed_by(signature: Mapping[str, str] | None, words: Words) -> str:
    """Name, meaning and time in one line, and those of a review; empty where nobody signed."""
    if not signature:
        return ""
    first = f"{signature['name']}, {signature['meaning']}, {moment(signature['time_utc'], words)}"
    return "; ".join(filter(None, (first, reviewed_by(signature, words))))


def reviewed_by(signature: Mapping[str, str], words: Words) -> str:
    """Name, meaning and time of a review in one line; empty where nobody reviewed."""
    if "review_name" not in signature:
        return ""
    at = moment(signature["review_time_utc"], words)
    return f"{signature['review_name']}, {signature['review_meaning']}, {at}"
