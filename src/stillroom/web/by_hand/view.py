"""Limits typed by hand: shown, added, taken away."""

from django.shortcuts import redirect
from django.urls import reverse

from stillroom.records.store import update_draft
from stillroom.web.by_hand.context import ByHandContext
from stillroom.web.by_hand.form import ByHandForm
from stillroom.web.shared.doors import draft_page, show
from stillroom.web.shared.steps import back_link, from_check


@draft_page
def by_hand(request, assessment):
    tables = assessment.inputs.get("room", {})
    rows = list(tables.get("limit", []))
    suffix = "?back=check" if from_check(request) else ""
    here = reverse("by-hand", kwargs={"key": assessment.key}) + suffix
    form = ByHandForm()
    if "remove" in request.POST:
        place = request.POST["remove"]
        if place.isdigit() and int(place) < len(rows):
            del rows[int(place)]
            update_draft(assessment, request.user, room={**tables, "limit": rows})
        return redirect(here)
    if request.method == "POST":
        form = ByHandForm(request.POST)
        if form.is_valid():
            row = form.cleaned_data["row"]
            same = [old for old in rows if (old["cas"], old["basis"]) != (row["cas"], row["basis"])]
            update_draft(assessment, request.user, room={**tables, "limit": [*same, row]})
            return redirect(here)
    context = ByHandContext(
        assessment=assessment,
        form=form,
        rows=[(place, limit_line(row), row["source"]) for place, row in enumerate(rows)],
        back=back_link(request, assessment, "by-hand"),
        back_to="check" if suffix else "",
        onward=reverse("check" if suffix else "rules", kwargs={"key": assessment.key}),
    )
    return show(request, "by_hand/page.html", context)


def limit_line(row) -> str:
    """A hand-entered limit in one line."""
    from stillroom.substances import resolve

    found = resolve(cas=row["cas"]).substance
    unit = "mg/m³" if row["unit"] == "mg/m3" else row["unit"]
    return f"{found.name if found else row['cas']} ({row['cas']}): {row['value']:g} {unit}, {row['basis']}"
