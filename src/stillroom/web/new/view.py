"""Begin an assessment."""

from django.shortcuts import redirect

from stillroom.records.store import new_draft
from stillroom.web.new.context import NewContext
from stillroom.web.new.form import NewForm
from stillroom.web.shared.doors import page, posted, show


@page("GET", "POST", writes=True)
def new(request):
    form = NewForm(posted(request))
    if request.method == "POST" and form.is_valid():
        draft = new_draft(
            request.membership.organisation,
            request.user,
            title=form.cleaned_data["title"],
            inputs={"seed": 1, "draws": 1000},
        )
        return redirect("inventory", key=draft.key)
    return show(request, "new/page.html", NewContext(form=form))
