"""Flow and filters of the chosen cabinet, and the media of one's own that fill its beds."""

from django.shortcuts import redirect

from stillroom.records.models import CabinetDefinition
from stillroom.records.store import update_draft
from stillroom.web.filters.context import FiltersContext
from stillroom.web.filters.form import FiltersForm
from stillroom.web.filters.own import MediumForm, own_media, with_medium
from stillroom.web.shared.doors import draft_page, mine, posted, show
from stillroom.web.shared.steps import back_link, from_check, go_on


@draft_page
def filters(request, assessment):
    tables = assessment.inputs.get("cabinet")
    if not tables:
        return redirect("cabinet", key=assessment.key)
    adds = request.method == "POST" and ("add" in request.POST or "medium_file" in request.FILES)
    medium_form, taken = MediumForm(), ""
    if adds:
        medium_form = MediumForm(request.POST, request.FILES)
        if medium_form.is_valid():
            tables = with_medium(tables, medium_form.cleaned_data["table"])
            update_draft(assessment, request.user, cabinet=tables)
            taken, medium_form = medium_form.cleaned_data["medium"].title, MediumForm()
    known = own_media([row.tables for row in mine(request, CabinetDefinition).order_by("-pk")[:50]])
    if adds:  # what was typed stays, and is not judged before Continue
        form = FiltersForm(tables=tables, known=known, typed=request.POST)
    else:
        form = FiltersForm(posted(request), tables=tables, known=known)
        if request.method == "POST" and form.is_valid():
            update_draft(assessment, request.user, cabinet=form.cleaned_data["tables"])
            return go_on(request, assessment, "filters")
    context = FiltersContext(
        assessment=assessment,
        form=form,
        medium_form=medium_form,
        taken=taken,
        problems=[*form.summary(), *medium_form.summary()],
        back=back_link(request, assessment, "filters"),
        back_to="check" if from_check(request) else "",
    )
    return show(request, "filters/page.html", context)
