"""The organisation's cabinets, and whether a validation stands for each."""

from django.utils import timezone

from stillroom.records.models import Cabinet
from stillroom.services.standing import standing_in
from stillroom.web.cabinets.context import CabinetsContext
from stillroom.web.shared.doors import mine, page, show


@page("GET")
def cabinets(request):
    today = timezone.localdate()
    context = CabinetsContext(
        cabinets=[(row, standing_in(row, today)) for row in mine(request, Cabinet)],
        may_write=request.membership.may_write,
    )
    return show(request, "cabinets/page.html", context)
