"""Where an item of what is due leads."""

from __future__ import annotations

from collections.abc import Callable

from django.urls import reverse

from stillroom.services.due import Due

__all__ = ["link", "links_at"]


def link(item: Due) -> str:
    """The path of the page on which it is done: the instrument's, the recheck page, else the cabinet's."""
    if item.kind == "recheck":
        return reverse("recheck")
    name = "instrument" if item.kind == "calibration" else "kept"
    return reverse(name, kwargs={"key": item.subject})


def links_at(base: str) -> Callable[[Due], str]:
    """The same as whole addresses of the server at `base`; nothing where that is not known."""
    return lambda item: base + link(item) if base else ""
