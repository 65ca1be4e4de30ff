"""Where the code on a door label leads: to the assessment with that record, for those it belongs to."""

from django.http import Http404
from django.shortcuts import redirect

from stillroom.records.models import Assessment
from stillroom.web.shared.doors import mine, page


@page("GET")
def door(request, number: str):
    """The newest assessment whose record has this number; the same inputs on the same day give the same number."""
    row = mine(request, Assessment).filter(record__number=number).order_by("-pk").only("key").first()
    if row is None:
        raise Http404
    return redirect("result", key=row.key)
