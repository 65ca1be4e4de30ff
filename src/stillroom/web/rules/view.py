"""The site's rules."""

from stillroom.records.store import update_draft
from stillroom.web.rules.context import RulesContext
from stillroom.web.rules.form import RulesForm
from stillroom.web.shared.doors import draft_page, posted, show
from stillroom.web.shared.steps import back_link, from_check, go_on


@draft_page
def rules(request, assessment):
    form = RulesForm(posted(request), tables=assessment.inputs.get("room", {}))
    if request.method == "POST" and form.is_valid():
        update_draft(assessment, request.user, room=form.cleaned_data["tables"])
        return go_on(request, assessment, "rules")
    context = RulesContext(
        assessment=assessment,
        form=form,
        back=back_link(request, assessment, "rules"),
        back_to="check" if from_check(request) else "",
    )
    return show(request, "rules/page.html", context)
