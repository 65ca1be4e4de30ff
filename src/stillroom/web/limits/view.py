"""Lists of exposure limits, in the user's order."""

from stillroom.records.store import update_draft
from stillroom.web.limits.context import LimitsContext
from stillroom.web.limits.form import LimitsForm
from stillroom.web.shared.doors import draft_page, posted, show
from stillroom.web.shared.steps import back_link, from_check, go_on


@draft_page
def limits(request, assessment):
    form = LimitsForm(posted(request), tables=assessment.inputs.get("room", {}))
    if request.method == "POST" and form.is_valid():
        update_draft(assessment, request.user, room=form.cleaned_data["tables"])
        return go_on(request, assessment, "limits")
    context = LimitsContext(
        assessment=assessment,
        form=form,
        back=back_link(request, assessment, "limits"),
        back_to="check" if from_check(request) else "",
    )
    return show(request, "limits/page.html", context)
