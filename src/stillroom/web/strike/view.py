"""Strike a mistyped reading out."""

from django.http import Http404
from django.shortcuts import redirect

from stillroom.errors import InputError
from stillroom.records.models import Visit
from stillroom.records.tenancy import visible_or_404
from stillroom.services.visit import strike
from stillroom.web.shared.doors import page, posted, show
from stillroom.web.strike.context import StrikeContext
from stillroom.web.strike.form import StrikeForm


@page("GET", "POST", writes=True)
def strike_page(request, key: str, place: int):
    """Of the visit with this key, the reading at this place, counted from 1."""
    visit = visible_or_404(Visit, request.membership.organisation, key=key)
    readings = list(visit.readings.select_related("strike", "instrument").order_by("pk"))
    if not 1 <= place <= len(readings):
        raise Http404
    reading = readings[place - 1]
    if hasattr(reading, "strike"):
        return redirect("visit-answer", key=key)
    form = StrikeForm(posted(request))
    if request.method == "POST" and form.is_valid():
        try:
            strike(reading, request.user, reason=form.cleaned_data["reason"])
        except InputError as error:
            form.add_problems(error, field="reason")
        else:
            return redirect("visit-answer", key=key)
    return show(request, "strike/page.html", StrikeContext(reading=reading, place=place, form=form))
