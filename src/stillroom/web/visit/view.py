"""Enter the readings of a visit."""

from django.shortcuts import redirect
from django.utils import timezone

from stillroom.errors import InputError
from stillroom.records.models import Cabinet, Instrument
from stillroom.records.tenancy import visible_or_404
from stillroom.services.in_place import beds_of, standing_in
from stillroom.services.visit import take_visit
from stillroom.web.shared.doors import mine, page, posted, show
from stillroom.web.visit.context import VisitContext
from stillroom.web.visit.form import VisitForm


@page("GET", "POST", writes=True)
def visit(request, key: str):
    cabinet = visible_or_404(Cabinet, request.membership.organisation, key=key)
    validation = standing_in(cabinet, timezone.localdate())
    instruments = mine(request, Instrument).prefetch_related("calibrations")
    form = None
    if instruments:
        form = VisitForm(
            posted(request),
            instruments=instruments,
            beds=beds_of(validation),
            person=request.user.get_full_name(),
        )
    if form and request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        wanted = ("key", "instrument", "entries", "measured_at", "person", "note")
        try:
            taken = take_visit(cabinet, request.user, **{name: given[name] for name in wanted})
        except InputError as error:
            form.add_row_problems(error)
        else:
            return redirect("visit-answer", key=taken.key)
    context = VisitContext(
        cabinet=cabinet, form=form, earlier=list(cabinet.visits.all()[:5]), stands=validation is not None
    )
    return show(request, "visit/page.html", context)
