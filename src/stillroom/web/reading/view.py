"""How the inventory was read, shown back before anything is computed."""

from django.shortcuts import redirect
from django.urls import reverse

from stillroom.web.reading.context import ReadingContext
from stillroom.web.shared.core import inventory_of
from stillroom.web.shared.doors import draft_page, show
from stillroom.web.shared.steps import from_check


@draft_page
def reading(request, assessment):
    if not assessment.inventory:
        return redirect("inventory", key=assessment.key)
    read = inventory_of(assessment)
    suffix = "?back=check" if from_check(request) else ""
    context = ReadingContext(
        assessment=assessment,
        how=list(read.reading.items()),
        warnings=read.warnings,
        unknown=[row for row in read.containers if not row.known],
        containers=read.containers,
        pieces=sum(row.count for row in read.containers),
        back=reverse("inventory", kwargs={"key": assessment.key}) + suffix,
        onward=reverse("check" if suffix else "cabinet", kwargs={"key": assessment.key}),
    )
    return show(request, "reading/page.html", context)
