"""The order of the intake's pages."""

from __future__ import annotations

from django.shortcuts import redirect
from django.urls import reverse

__all__ = ["STEPS", "back_link", "go_on", "unfinished"]

STEPS = ("inventory", "reading", "cabinet", "filters", "room", "limits", "by-hand", "rules", "check")


def from_check(request) -> bool:
    """Whether the page was opened by a Change link of the check page."""
    return (request.POST.get("back") or request.GET.get("back")) == "check"


def go_on(request, assessment, step: str):
    """To the next page, or straight back to the check page."""
    following = "check" if from_check(request) else STEPS[STEPS.index(step) + 1]
    return redirect(following, key=assessment.key)


def back_link(request, assessment, step: str) -> str:
    if from_check(request):
        return reverse("check", kwargs={"key": assessment.key})
    place = STEPS.index(step)
    if place == 0:
        return reverse("assessments")
    return reverse(STEPS[place - 1], kwargs={"key": assessment.key})


def unfinished(assessment) -> str:
    """The first page that still wants an answer, or "check"."""
    room = assessment.inputs.get("room", {})
    have = {
        "inventory": assessment.inventory_id,
        "cabinet": "cabinet" in assessment.inputs,
        "room": "room" in room,
        "limits": room.get("limits", {}).get("lists"),
        "rules": "rules" in room,
    }
    return next((step for step in STEPS if not have.get(step, True)), "check")
