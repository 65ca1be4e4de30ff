"""Choose the cabinet."""

from django.shortcuts import redirect
from django.urls import reverse

from stillroom.records.models import CabinetDefinition
from stillroom.records.store import update_draft
from stillroom.web.cabinet.context import CabinetContext
from stillroom.web.cabinet.form import CabinetForm
from stillroom.web.shared.doors import draft_page, mine, posted, show
from stillroom.web.shared.steps import back_link, from_check


@draft_page
def cabinet(request, assessment):
    known = list(mine(request, CabinetDefinition).order_by("-pk")[:20])
    chosen = assessment.inputs.get("cabinet")
    initial = {"choice": "present"} if chosen else {}
    form = CabinetForm(
        posted(request),
        request.FILES if request.method == "POST" else None,
        known=known,
        chosen=chosen,
        initial=initial,
    )
    if request.method == "POST" and form.is_valid():
        update_draft(assessment, request.user, cabinet=form.cleaned_data["tables"])
        address = reverse("filters", kwargs={"key": assessment.key})
        return redirect(address + ("?back=check" if from_check(request) else ""))
    context = CabinetContext(
        assessment=assessment,
        form=form,
        back=back_link(request, assessment, "cabinet"),
        back_to="check" if from_check(request) else "",
    )
    return show(request, "cabinet/page.html", context)
