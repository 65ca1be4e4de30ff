"""The filters of a cabinet: how long they last, what was changed, and a new change."""

from django.shortcuts import redirect
from django.utils import timezone

from stillroom.errors import InputError
from stillroom.records.models import Cabinet
from stillroom.records.tenancy import visible_or_404
from stillroom.services.forecast import forecast, record_beds
from stillroom.services.in_place import standing_in
from stillroom.services.replace_filter import replace_filter
from stillroom.web.filter_change.context import FilterChangeContext
from stillroom.web.filter_change.form import FilterChangeForm
from stillroom.web.shared.doors import page, posted, show
from stillroom.web.shared.when import latest_day


@page("GET", "POST")
def filter_change(request, key: str):
    cabinet = visible_or_404(Cabinet, request.membership.organisation, key=key)
    today = timezone.localdate()
    last = cabinet.filter_changes.first()
    today = max(today, last.on) if last else today
    form = _form(request, cabinet, today) if request.membership.may_write else None
    if form and request.method == "POST" and form.is_valid():
        try:
            replace_filter(cabinet, request.user, today=latest_day(), **form.values())
        except InputError as error:
            form.add_core_problems(error)
        else:
            return redirect("filter-change", key=key)
    context = FilterChangeContext(
        cabinet=cabinet,
        form=form,
        forecast=forecast(cabinet, today),
        history=list(cabinet.filter_changes.all()),
    )
    return show(request, "filter_change/page.html", context)


def _form(request, cabinet, today):
    from stillroom import media

    validation = standing_in(cabinet, today)
    last = cabinet.filter_changes.first()
    beds = record_beds(validation) if validation else last.stack if last else []
    names = dict.fromkeys([*(bed["medium"] for bed in beds), *media.names()])
    return FilterChangeForm(
        posted(request), beds=beds, media=list(names), person=request.user.get_full_name()
    )
