"""Flow and filters of the chosen cabinet."""

from django.shortcuts import redirect

from stillroom.records.store import update_draft
from stillroom.web.filters.context import FiltersContext
from stillroom.web.filters.form import FiltersForm
from stillroom.web.shared.core import cabinet_of
from stillroom.web.shared.doors import draft_page, posted, show
from stillroom.web.shared.steps import back_link, from_check, go_on


@draft_page
def filters(request, assessment):
    tables = assessment.inputs.get("cabinet")
    if not tables:
        return redirect("cabinet", key=assessment.key)
    form = FiltersForm(posted(request), tables=tables)
    if request.method == "POST" and form.is_valid():
        update_draft(assessment, cabinet=form.cleaned_data["tables"])
        return go_on(request, assessment, "filters")
    context = FiltersContext(
        assessment=assessment,
        form=form,
        seal=cabinet_of(tables).filters.seal_bypass,
        back=back_link(request, assessment, "filters"),
        back_to="check" if from_check(request) else "",
    )
    return show(request, "filters/page.html", context)
